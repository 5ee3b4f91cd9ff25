//! Damaged sessions and journals: refused in a sentence or read as what they are, never a panic, never without end.

#![allow(clippy::unwrap_used)] // a test fails by panicking

#[path = "common/mutate.rs"]
mod mutate;

use mutate::{Dice, corpus, damaged};
use washboard_session::journal::Step;
use washboard_session::{Session, check, parse_json, parse_ron, to_json, to_ron};

/// Damaged copies of each sample.
const COPIES: usize = 400;

fn try_session(text: &str) -> bool {
    let read = [parse_ron(text), parse_json(text)];
    let mut any = false;
    for session in read.into_iter().flatten() {
        any = true;
        let holds = check(&session).is_ok();
        // What passes its check can be written and read again without loss.
        if holds {
            let again: Session = parse_ron(&to_ron(&session).unwrap()).unwrap();
            assert_eq!(again, session);
            assert_eq!(parse_json(&to_json(&session).unwrap()).unwrap(), session);
        }
    }
    any
}

#[test]
fn damaged_sessions_are_refused_without_a_panic() {
    let (mut tried, mut read) = (0, 0);
    for (index, whole) in corpus("session").iter().enumerate() {
        let mut dice = Dice::new(index as u64 + 1);
        for _ in 0..COPIES {
            if let Ok(text) = String::from_utf8(damaged(whole, &mut dice)) {
                read += usize::from(try_session(&text));
                tried += 1;
            }
        }
    }
    assert!(tried > 1000 && read > 20 && read < tried, "{read} of {tried} were still sessions");
}

#[test]
fn damaged_steps_of_a_journal_are_refused_without_a_panic() {
    let whole = r#"{"Edit":{"SetCells":{"mode":0,"map":"Heave","cells":[[0,1,1500.5],[1,1,1.0]]}}}"#;
    assert!(serde_json::from_str::<Step>(whole).is_ok());
    let session = parse_json(&String::from_utf8(corpus("session").pop().unwrap()).unwrap_or_default())
        .or_else(|_| parse_ron(&String::from_utf8(corpus("session").remove(0)).unwrap()))
        .unwrap();
    let mut dice = Dice::new(7);
    for _ in 0..2000 {
        let bytes = damaged(whole.as_bytes(), &mut dice);
        if let Ok(step) = serde_json::from_slice::<Step>(&bytes) {
            let mut history = washboard_session::History::opened(session.clone());
            step.apply(&mut history);
            assert!(check(history.session()).is_ok(), "a step of a journal let a fault in: {step:?}");
        }
    }
}
