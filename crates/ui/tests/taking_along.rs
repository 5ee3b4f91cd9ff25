//! What can be taken along from the window: tables to the clipboard, CSV files, pictures of plots.

mod common;

use common::Desk;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use washboard_ui::{Command, Place, PlotName, picture};

fn click(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_by_label(name).click();
    for _ in 0..3 {
        harness.step();
    }
}

fn last(harness: &Harness<'_, Desk>) -> Command {
    harness.state().commands.last().cloned().expect("a command")
}

#[test]
fn every_plot_has_a_picture_with_title_axes_units_curves_and_identity() {
    let desk = Desk::new();
    let expected: [(PlotName, &[&str]); 7] = [
        (PlotName::CutSpeed, &["gain over speed", "speed, km/h", "gain, N·s/m"]),
        (PlotName::CutSecond, &["gain over roughness", "roughness, m/s²", "gain, N·s/m"]),
        (PlotName::Transmissibility, &["body transmissibility", "frequency, Hz", "body over road", "gentle", "firm"]),
        (PlotName::WheelLoad, &["wheel-load variation", "frequency, Hz", "kN per m/s of road", "gentle", "firm"]),
        (
            PlotName::Comfort,
            &["comfort against wheel load", "dynamic wheel load, % of static", "weighted acceleration, m/s²", "gentle"],
        ),
        (PlotName::Event, &["event over time", "time, s", "body, mm", "FL load, kN", "FL current, A", "rough road"]),
        (
            PlotName::Damper,
            &["damper force over velocity", "damper velocity, m/s (rebound positive)", "force, kN", "1.6 A"],
        ),
    ];
    for (plot, texts) in expected {
        let svg = desk.with_context(|context| picture(&desk.view, context, plot));
        let identity = ["test car · full car, as described · set 7F3A-C2D1"];
        for text in texts.iter().chain(&identity) {
            assert!(svg.contains(&format!(">{text}")), "{plot:?} lacks {text:?}");
        }
        assert!(svg.contains("<polyline") || svg.contains("<circle"), "{plot:?} has no curve");
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{plot:?} has a number that is none");
    }
}

#[test]
fn a_picture_is_light_whatever_the_theme_on_screen() {
    let mut desk = Desk::new();
    desk.view.theme = washboard_ui::Theme::Dark;
    let svg = desk.with_context(|context| picture(&desk.view, context, PlotName::Transmissibility));
    assert!(svg.contains("height=\"600\" fill=\"#ffffff\""), "the ground is not white");
}

#[test]
fn a_plot_gives_its_curves_to_the_clipboard_and_its_picture_to_a_file() {
    let mut harness = Desk::new().open();
    click(&mut harness, "Take along body transmissibility");
    click(&mut harness, "Copy as table");
    let Command::CopyText(text) = last(&harness) else { panic!("nothing was copied") };
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("frequency, Hz\tgentle: body over road\tfirm: body over road"));
    // The first point of the board of the tests: 0.3 Hz, k / (0.2 + |0.3 - 1.2|) with k = 1 and 1.2.
    let first: Vec<f64> = lines.next().into_iter().flat_map(|l| l.split('\t')).map(|v| v.parse().unwrap()).collect();
    for (is, wanted) in first.iter().zip([0.3, 1.0 / 1.1, 1.2 / 1.1]) {
        assert!((is - wanted).abs() < 1e-12, "{first:?}");
    }
    assert_eq!(text.lines().count(), 41);
    click(&mut harness, "Take along body transmissibility");
    click(&mut harness, "Save picture…");
    assert_eq!(last(&harness), Command::SavePicture(PlotName::Transmissibility));
}

#[test]
fn the_scorecard_of_tune_and_the_map_go_to_the_clipboard_as_they_are_seen() {
    let mut harness = Desk::new().open();
    click(&mut harness, "Take along scorecard");
    click(&mut harness, "Copy as table");
    let Command::CopyText(text) = last(&harness) else { panic!("nothing was copied") };
    assert!(text.starts_with("metric\tgentle\tfirm\tfirm: difference, %\tfirm: ±, %\n"), "{text}");
    assert!(text.contains("Weighted acceleration, m/s²\t0.350\t0.420\t20\t1\n"), "{text}");
    click(&mut harness, "Take along map as numbers");
    click(&mut harness, "Copy as table");
    let Command::CopyText(text) = last(&harness) else { panic!("nothing was copied") };
    assert!(text.starts_with("speed, km/h\theave at roughness 0 m/s², N·s/m\t"), "{text}");
    assert!(text.contains("\n80\t1000\t900\t700\n"), "{text}");
}

#[test]
fn fences_go_to_the_clipboard_with_how_they_stand() {
    let mut desk = Desk::new();
    desk.view.place = Place::SideBySide;
    let mut harness = desk.open();
    click(&mut harness, "Side by side: fences");
    click(&mut harness, "copy fences");
    let Command::CopyText(text) = last(&harness) else { panic!("nothing was copied") };
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[1], "1\tweighted_acceleration_m_per_s2\tm/s²\tgentle\t\t\t0.4\t\t0.35\t0.4\tyes");
    assert!(lines[2].ends_with("firm\t\t\t0.4\t\t0.42\t0.4\tno"), "{text}");
}
