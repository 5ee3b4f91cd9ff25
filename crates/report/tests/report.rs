//! A report shows what was computed, in HTML that is well-formed and in pages that can be read back.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use roxmltree::{Document, Node, ParsingOptions};
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;
use washboard_metrics::MetricId;
use washboard_report::{Imprint, Material, Wish, html, paper, pdf};
use washboard_session::{Fence, Session};
use washboard_study::{Model, Profiles, Progress, Study};
use washboard_words::figures;

/// The demo with one random road, one bump and two modes, so that a test does not take long.
fn session() -> Session {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-sessions/estate.ron");
    let mut session = washboard_session::load(&path).unwrap();
    let is_bump = |e: &washboard_session::Event| matches!(e.kind, washboard_session::EventKind::CosineBump { .. });
    let road = session.events.iter().find(|e| e.kind.is_road() && !is_bump(e)).cloned().unwrap();
    let bump = session.events.iter().find(|e| is_bump(e)).cloned().unwrap();
    session.events = vec![road, bump];
    session.modes.truncate(2);
    session.reference_mode = Some(session.modes[1].name.clone());
    session.fences = vec![Fence {
        metric: "weighted_acceleration_m_per_s2".to_owned(),
        at_most: Some(0.01),
        at_least: None,
        relative_to: None,
        event: None,
        modes: vec![],
    }];
    session
}

/// What most tests read, computed once.
fn common() -> &'static (Study, Material) {
    static COMMON: OnceLock<(Study, Material)> = OnceLock::new();
    COMMON.get_or_init(|| material(&session(), &wish()))
}

/// A small car with little to compute.
fn quick() -> Wish {
    Wish { model: Model::QuarterFront, load_cases: vec![0], ..wish() }
}

fn wish() -> Wish {
    Wish {
        model: Model::Pitch,
        modes: vec![0, 1],
        load_cases: vec![0, 1],
        reference: 1,
        event: None,
        speed_km_h: 80.0,
        roughness_m_per_s2: 2.0,
    }
}

fn imprint() -> Imprint {
    Imprint {
        session_file: "estate.ron".to_owned(),
        command: "washboard report estate.ron --out estate.pdf".to_owned(),
        time: "2026-11-25T18:00:00Z".to_owned(),
        program: "washboard 0.1.0".to_owned(),
    }
}

fn material(session: &Session, wish: &Wish) -> (Study, Material) {
    let study = Study::new(session, &Profiles::default()).unwrap();
    let material = Material::gather(&study, wish, imprint(), &Progress::new()).unwrap().unwrap();
    (study, material)
}

fn words(node: Node<'_, '_>) -> String {
    node.descendants().filter(|n| n.is_text()).filter_map(|n| n.text()).collect()
}

fn parsed(text: &str) -> Document<'_> {
    Document::parse_with_options(text, ParsingOptions { allow_dtd: true, ..ParsingOptions::default() }).unwrap()
}

/// Cells of the table with that caption, row by row.
fn table(document: &Document<'_>, caption: &str) -> Vec<Vec<String>> {
    let is_it = |n: &Node<'_, '_>| n.has_tag_name(("http://www.w3.org/1999/xhtml", "caption")) && words(*n) == caption;
    let table = document.descendants().find(is_it).unwrap_or_else(|| panic!("no table {caption:?}")).parent().unwrap();
    let rows = table.descendants().filter(|n| n.tag_name().name() == "tr");
    rows.map(|row| row.children().filter(Node::is_element).map(words).collect()).collect()
}

#[test]
fn every_figure_is_the_one_that_evaluate_gives() {
    let (study, material) = common();
    let session = study.session();
    let text = html(&paper(material));
    let document = parsed(&text);
    let selection = study.selection(Model::Pitch, &[], &[], &[]).unwrap();
    let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
    let mut seen = 0;
    for (load_case, case) in [(0, "as described"), (1, "driver")] {
        let mut rows = table(&document, &format!("Main figures, {case}"));
        rows.extend(table(&document, &format!("All other figures, {case}")).into_iter().skip(1));
        // Columns: figure, the reference mode, the other mode, its difference.
        assert_eq!(rows[0], ["figure, unit", "everyday", "gentle", "difference"]);
        for (mode, column) in [(1, 1), (0, 2)] {
            let card = &evaluation.overall.iter().find(|o| o.mode == mode && o.load_case == load_case).unwrap().card;
            let expected: BTreeSet<(String, String)> = MetricId::all()
                .filter_map(|id| {
                    Some((figures::title(id), figures::figure(id, card.mean(id).filter(|v| v.is_finite())?)))
                })
                .collect();
            let shown: BTreeSet<(String, String)> =
                rows[1..].iter().filter(|r| !r[column].is_empty()).map(|r| (r[0].clone(), r[column].clone())).collect();
            assert_eq!(shown, expected);
            seen += shown.len();
        }
    }
    assert!(seen > 80, "only {seen} figures");
    for run in evaluation.runs.iter().filter(|r| r.load_case == 0) {
        let event = &session.events[run.event];
        let read = washboard_study::metrics_read(&event.kind);
        let value = figures::figure(read[0], run.card.mean(read[0]).unwrap());
        let all = words(document.root_element());
        assert!(all.contains(&value), "{} {value}", event.name);
    }
}

#[test]
fn differences_carry_their_interval_and_a_crossed_fence_says_so() {
    let (_, material) = common();
    assert!(!material.all_kept());
    let text = html(&paper(material));
    let document = parsed(&text);
    let rows = table(&document, "Main figures, as described");
    let weighted = rows.iter().find(|r| r[0].starts_with("Weighted acceleration")).unwrap();
    assert!(weighted[3].contains('±') && weighted[3].ends_with('%'), "{weighted:?}");
    let fences = table(&document, "Every bound with its figure, the worst corner where there are several");
    assert!(fences[1..].iter().all(|r| r[6] == "✕ crossed" && r[5].starts_with("at most 0.010 m/s²")), "{fences:?}");
    let all = words(document.root_element());
    for said in
        ["Before any of this is driven", "never handed over", "The controller knows the true states", "estate.pdf"]
    {
        assert!(all.contains(said), "{said}");
    }
}

#[test]
fn the_html_stands_alone_and_says_what_its_pictures_show() {
    let (_, material) = common();
    let text = html(&paper(material));
    for word in ["<script", "href=", "src=", "@import", "url("] {
        assert!(!text.contains(word), "{word}");
    }
    let document = parsed(&text);
    assert_eq!(document.root_element().attribute("lang"), Some("en"));
    let pictures: Vec<_> = document.descendants().filter(|n| n.tag_name().name() == "svg").collect();
    assert!(pictures.len() > 12, "{}", pictures.len());
    for svg in pictures {
        let title = svg.children().find(|n| n.tag_name().name() == "title").unwrap();
        assert!(title.text().is_some_and(|t| t.len() > 10));
        assert!(svg.descendants().filter(|n| n.tag_name().name() == "text").count() > 4, "axes have numbers");
    }
    let cells = document.descendants().filter(|n| n.tag_name().name() == "th");
    assert!(cells.clone().count() > 100 && cells.clone().all(|th| th.attribute("scope").is_some()));
    let ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).collect();
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "every id once");
}

#[test]
fn names_of_any_kind_are_shown_and_break_nothing() {
    let mut session = session();
    let odd = "a<b> & \"c\" 'd' \u{b}é";
    session.title = odd.to_owned();
    session.modes[0].name = "<script>alert(1)</script>".to_owned();
    session.events[1].name = "bump & dip > 5".to_owned();
    session.vehicle.name = "]]> {}".to_owned();
    // A control character is no fault of the reader's; the document itself refuses it elsewhere.
    let Ok(study) = Study::new(&session, &Profiles::default()) else {
        panic!("{:?}", washboard_session::check(&session));
    };
    let material = Material::gather(&study, &quick(), imprint(), &Progress::new()).unwrap().unwrap();
    let text = html(&paper(&material));
    assert!(!text.contains("<script"));
    let all = words(parsed(&text).root_element());
    assert!(
        all.contains("a<b> & \"c\" 'd'") && all.contains("<script>alert(1)</script>") && all.contains("bump & dip > 5")
    );
    assert!(pdf(&paper(&material)).is_ok());
}

#[test]
fn the_same_material_gives_the_same_bytes() {
    let session = session();
    let (one, other) = (material(&session, &quick()).1, material(&session, &quick()).1);
    assert_eq!(html(&paper(&one)), html(&paper(&other)));
    assert_eq!(pdf(&paper(&one)).unwrap(), pdf(&paper(&other)).unwrap());
}

#[test]
fn the_pages_hold_every_word_as_text() {
    let (_, material) = common();
    let paper = paper(material);
    let file = std::env::temp_dir().join(format!("washboard-report-{}.pdf", std::process::id()));
    std::fs::write(&file, pdf(&paper).unwrap()).unwrap();
    let read = Command::new("pdftotext").args(["-layout"]).arg(&file).arg("-").output();
    let info = Command::new("pdfinfo").arg(&file).output();
    std::fs::remove_file(&file).unwrap();
    let (Ok(read), Ok(info)) = (read, info) else {
        eprintln!("poppler-utils is not here: the pages were not read back");
        return;
    };
    let (text, info) = (String::from_utf8(read.stdout).unwrap(), String::from_utf8(info.stdout).unwrap());
    assert!(info.contains("calibration report") && info.contains("Tagged:") && info.contains("yes"), "{info}");
    let pages = info.lines().find_map(|l| l.strip_prefix("Pages:")).unwrap().trim().to_owned();
    assert!(text.contains(&format!("page 1 of {pages}")) && text.contains(&format!("page {pages} of {pages}")));
    let flat: String = text.split_whitespace().collect();
    for block in &paper.blocks {
        let said = match block {
            washboard_report::Block::Heading(_, said) => vec![said.clone()],
            washboard_report::Block::Items(items) => items.clone(),
            washboard_report::Block::Table(t) => {
                t.rows.iter().map(|r| r[0].text.clone()).filter(|t| t.len() < 18).collect()
            }
            _ => vec![],
        };
        for said in said {
            let said: String = said.split_whitespace().collect();
            // A list broken over two pages has the foot of the page within.
            assert!(flat.contains(&said) || said.len() > 60, "{said}");
        }
    }
}

#[test]
fn what_cannot_be_reported_on_is_said() {
    let mut session = session();
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let none = Wish { load_cases: vec![], ..wish() };
    assert!(Material::gather(&study, &none, imprint(), &Progress::new()).unwrap().is_err());
    let stopped = Progress::new();
    stopped.cancel();
    assert!(Material::gather(&study, &wish(), imprint(), &stopped).is_err());
    // No event: a car, its modes and maps are still worth a page.
    session.events.clear();
    session.fences.clear();
    let (_, material) = material(&session, &quick());
    let text = html(&paper(&material));
    assert!(words(parsed(&text).root_element()).contains("The session has no events"));
    assert!(pdf(&paper(&material)).is_ok());
}
