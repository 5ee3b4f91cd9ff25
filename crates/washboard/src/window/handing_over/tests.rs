use super::*;
use crate::window::work::Work;
use std::time::{Duration, Instant};
use washboard_handover::Waiver;
use washboard_session::{Release, SetStatus};

/// A draft whose cautions were read.
fn read() -> Wish {
    Wish { release: Release { caution_acknowledged: true, ..Release::default() }, ..Wish::default() }
}

fn order(note: &str) -> Order {
    let (c, wish) = (None, read());
    Order { session: Work::demo().unwrap().snapshot(), modes: vec![0], note: note.to_owned(), c, wish }
}

fn ground(session: &Arc<Session>, wish: &Wish, is_shown: bool) -> Ground {
    Ground {
        session: Arc::clone(session),
        revision: 1,
        folder: None,
        modes: vec![0],
        wish: wish.clone(),
        proposal: None,
        is_shown,
    }
}

/// Looks until the checks are fresh and nothing is computed any more.
fn settle(it: &mut HandingOver, ground: &Ground) {
    let until = Instant::now() + Duration::from_secs(240);
    loop {
        assert!(Instant::now() < until, "no checks");
        it.look_at(ground, || {});
        it.collect();
        if it.view.is_fresh && !it.is_busy() {
            it.look_at(ground, || {});
            if it.looking.is_fresh() && (!ground.is_shown || it.evidence.is_fresh()) {
                return;
            }
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

fn wait(it: &mut HandingOver) -> Result<HandedOver, String> {
    let until = Instant::now() + Duration::from_secs(60);
    loop {
        assert!(Instant::now() < until, "no answer");
        if let Some(result) = it.collect() {
            return result;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn each_set_gets_a_folder_of_its_own_and_is_never_overwritten() {
    let dir = tempfile::tempdir().unwrap();
    let mut it = HandingOver::default();
    it.set_folder(dir.path().to_owned());
    it.send(order("first try"), || {});
    let record = wait(&mut it).unwrap();
    assert_eq!((record.modes.len(), record.note.as_str()), (1, "first try"));
    let folder = PathBuf::from(&record.folder);
    assert!(folder.starts_with(dir.path()) && verify(&folder, None).unwrap().equal);
    assert!(
        matches!(&it.view().last_result, Some(HandOverResult::Done { identity, .. }) if *identity == record.identity)
    );
    // The same calibration has the same folder, which is in use.
    it.send(order("again"), || {});
    assert!(wait(&mut it).unwrap_err().contains("not empty"));
    assert!(verify(&folder, None).unwrap().equal, "the first set was touched");
    // And a set's own folder is no place for another.
    it.set_folder(folder.clone());
    it.send(order("inside"), || {});
    assert!(wait(&mut it).unwrap_err().contains("folder above"));
    assert!(verify(&folder, None).unwrap().equal, "the first set was touched");
}

#[test]
fn without_a_folder_or_modes_nothing_is_written() {
    let mut it = HandingOver::default();
    it.send(order(""), || {});
    assert!(matches!(&it.view().last_result, Some(HandOverResult::Failed(why)) if why.contains("folder")));
    let dir = tempfile::tempdir().unwrap();
    it.set_folder(dir.path().to_owned());
    it.send(Order { modes: vec![], ..order("") }, || {});
    assert!(wait(&mut it).is_err());
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 0);
}

#[test]
fn a_draft_too_leaves_only_when_its_cautions_were_read() {
    let dir = tempfile::tempdir().unwrap();
    let mut it = HandingOver::default();
    it.set_folder(dir.path().to_owned());
    it.send(Order { wish: Wish::default(), ..order("unread") }, || {});
    assert!(wait(&mut it).unwrap_err().contains("cautions"));
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 0);
    it.send(order("read"), || {});
    assert_eq!(wait(&mut it).unwrap().status, SetStatus::Draft);
}

#[test]
fn a_proposed_layout_is_shown_follows_edits_and_is_taken_once_it_is_saved() {
    let mut session = (*Work::demo().unwrap().snapshot()).clone();
    session.events.truncate(1);
    session.fences.clear();
    let mut it = HandingOver::default();
    let proposal = Proposal { address: 0x8004_0000, ..Proposal::default() };
    let mut ground = Ground { proposal: Some(proposal), ..ground(&Arc::new(session.clone()), &read(), false) };
    let proposed = |it: &mut HandingOver, ground: &Ground| {
        settle(it, ground);
        let until = Instant::now() + Duration::from_secs(60);
        while !it.view.proposed_is_fresh {
            assert!(Instant::now() < until, "nothing proposed");
            it.collect();
            it.look_at(ground, || {});
            std::thread::sleep(Duration::from_millis(2));
        }
        it.view.proposed.clone().unwrap().unwrap()
    };
    let first = proposed(&mut it, &ground);
    assert_eq!(first.layout.memory.address, 0x8004_0000);
    assert_eq!((first.held.errors.len(), first.held.left_out.len()), (first.layout.tables.len(), 0));
    assert!(it.view.layout.is_none(), "nobody has saved it");
    // A larger gain needs a coarser step.
    session.modes[0].heave.values_n_s_per_m[0][0] = 60_000.0;
    (ground.session, ground.revision) = (Arc::new(session), 2);
    let second = proposed(&mut it, &ground);
    let step = |it: &washboard_ui::ProposedLayout| {
        let is_heave = |at: &&washboard_handover::layout::TableAt| at.table.name() == "heave";
        it.layout.tables.iter().find(is_heave).unwrap().values.factor
    };
    assert!(step(&second) > 5.0 * step(&first), "{} and {}", step(&second), step(&first));
    let dir = tempfile::tempdir().unwrap();
    for name in ["unit.ron", "unit.json"] {
        it.leave_layout();
        it.save_proposed(dir.path().join(name), || {});
        let until = Instant::now() + Duration::from_secs(60);
        while it.chosen.is_none() {
            assert!(Instant::now() < until, "no layout: {:?}", it.view.last_result);
            it.collect();
        }
        assert_eq!(it.layout(), Some(&second.layout), "{name}");
    }
    // Where it cannot be written that is a sentence, and nothing is taken.
    it.leave_layout();
    it.save_proposed(dir.path().join("none/unit.ron"), || {});
    let until = Instant::now() + Duration::from_secs(60);
    while it.view.last_result.is_none() {
        assert!(Instant::now() < until, "no answer");
        it.collect();
    }
    assert!(matches!(&it.view.last_result, Some(HandOverResult::Failed(why)) if why.contains("none/unit.ron")));
    assert!(it.layout().is_none());
}

#[test]
fn what_would_go_out_is_known_before() {
    let session = Work::demo().unwrap().snapshot();
    let mut it = HandingOver::default();
    settle(&mut it, &ground(&session, &Wish::default(), false));
    assert_eq!(it.view().identity, identity(&CarSet::from_session(&session, &[0]).unwrap()));
    assert!(!it.view().checks.is_empty());
}

#[test]
fn more_than_a_draft_waits_for_what_is_computed_and_bears_its_status() {
    let mut session = (*Work::demo().unwrap().snapshot()).clone();
    session.events.truncate(1);
    session.vehicle.load_cases.clear();
    session.release = Some(Release { caution_acknowledged: true, ..Release::default() });
    session.fences = vec![washboard_session::Fence {
        metric: "weighted_acceleration_m_per_s2".to_owned(),
        at_most: Some(0.001),
        at_least: None,
        relative_to: None,
        event: None,
        modes: vec![],
    }];
    washboard_session::check(&session).unwrap();
    let session = Arc::new(session);
    let release = session.release.clone().unwrap();
    let mut wish = Wish { status: SetStatus::TrackOnly, release, waivers: vec![] };
    let dir = tempfile::tempdir().unwrap();
    let mut it = HandingOver::default();
    it.set_folder(dir.path().to_owned());
    settle(&mut it, &ground(&session, &wish, false));
    assert!(it.view.obstacles.iter().any(|o| o.contains("not evaluated")), "{:?}", it.view.obstacles);
    settle(&mut it, &ground(&session, &wish, true));
    assert_eq!(it.view.obstacles.len(), 1, "{:?}", it.view.obstacles);
    assert!(it.view.obstacles[0].contains("crossed"));
    let order = |wish: &Wish| Order {
        session: Arc::clone(&session),
        modes: vec![0],
        note: String::new(),
        c: Some(CNumbers::Proposed(washboard_handover::Width::Float)),
        wish: wish.clone(),
    };
    it.send(order(&wish), || {});
    assert!(wait(&mut it).unwrap_err().contains("crossed"));
    wish.waivers = vec![Waiver { check: "fences".into(), sentence: "a first look on the smooth track".into() }];
    settle(&mut it, &ground(&session, &wish, true));
    assert!(it.view.obstacles.is_empty(), "{:?}", it.view.obstacles);
    it.send(order(&wish), || {});
    let record = wait(&mut it).unwrap();
    assert_eq!(record.status, SetStatus::TrackOnly);
    let words = |file: &str| std::fs::read_to_string(Path::new(&record.folder).join(file)).unwrap();
    assert!(words("manifest.json").contains("a first look on the smooth track"));
    assert!(words("README.txt").contains("TRACK ONLY") && words("c/washboard_set.h").contains("track only"));
}

#[test]
fn a_layout_says_what_the_control_unit_will_hold() {
    let mut session = (*Work::demo().unwrap().snapshot()).clone();
    session.events.truncate(1);
    session.fences.clear();
    let session = Arc::new(session);
    let set = CarSet::from_session(&session, &[0]).unwrap();
    let proposal = Proposal {
        name: "unit".into(),
        version: 1,
        address: 0,
        byte_order: washboard_handover::layout::ByteOrder::Little,
        width: washboard_handover::Width::Bits8,
        ..Proposal::default()
    };
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("unit.ron");
    let text = Layout::propose(&set, &proposal).unwrap().text(Format::Ron).unwrap();
    std::fs::write(&path, text).unwrap();
    let mut it = HandingOver::default();
    it.choose_layout(path, || {});
    let until = Instant::now() + Duration::from_secs(60);
    while it.chosen.is_none() {
        assert!(Instant::now() < until, "no layout: {:?}", it.view.last_result);
        it.collect();
    }
    settle(&mut it, &ground(&session, &Wish::default(), true));
    let view = it.view.layout.as_ref().unwrap();
    let held = view.held.as_ref().unwrap().as_ref().unwrap();
    assert!(held.errors.iter().all(|error| error.error().abs() <= error.half_step));
    assert!(it.view.checks.iter().any(|check| check.id == "layout" && check.passed));
    let figures = view.figures.as_ref().unwrap().as_ref().unwrap();
    let comfort = figures.iter().find(|one| one.metric == MetricId::WEIGHTED_ACCELERATION).unwrap();
    // Eight bits and a finite inverse table move it, but not far.
    assert!(comfort.exact != comfort.held && (comfort.held / comfort.exact - 1.0).abs() < 0.1, "{comfort:?}");
    it.leave_layout();
    settle(&mut it, &ground(&session, &Wish::default(), true));
    assert!(it.view.layout.is_none());
}
