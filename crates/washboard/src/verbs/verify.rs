//! `washboard verify`: is a handed-over set, one of its files or a dump of the car's memory what it says it is, and what
//! the session holds?

use super::{Outcome, mode_indices, open};
use crate::reading_back::{Meant, of_a_file};
use crate::{cli, sink};
use anyhow::{Result, ensure};
use washboard_handover::{Layout, Verdict, read_set, verify, verify_against_set};

/// Reads the set back; status 1 and one line a difference where something differs.
pub fn run(args: &cli::Verify) -> Result<Outcome> {
    let is_file = args.dir.is_file();
    let (verdict, remark) = if is_file { file(args)? } else { (of_a_folder(args)?, String::new()) };
    let name = args.dir.display();
    let with = args.against.as_ref().map_or(String::new(), |p| format!(" and equal to {}", p.display()));
    let (text, outcome) = if verdict.equal {
        let what = if is_file { "reads back as it was handed over" } else { "is complete and unchanged" };
        (format!("{name} {what}{with}.\nSet {}\n{remark}", verdict.identity), Outcome::Done)
    } else {
        let mut text = format!("{name} differs:\n");
        for difference in &verdict.differences {
            text.push_str(&format!("  - {difference}\n"));
        }
        (text + &remark, Outcome::DoesNotHold)
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(outcome)
}

fn of_a_folder(args: &cli::Verify) -> Result<Verdict> {
    ensure!(args.modes.is_empty(), "--mode is for an image; a folder names its modes itself");
    ensure!(args.layout.is_none(), "--layout is for an image; a folder holds its layout itself");
    Ok(match &args.against {
        Some(other) if other.is_dir() => verify_against_set(&args.dir, &read_set(other)?)?,
        Some(session) => verify(&args.dir, Some(&open(session)?))?,
        None => verify(&args.dir, None)?,
    })
}

fn file(args: &cli::Verify) -> Result<(Verdict, String)> {
    let layout = args.layout.as_deref().map(Layout::load).transpose()?;
    let session;
    let meant = match &args.against {
        Some(folder) if folder.is_dir() => Meant::Set(Box::new(read_set(folder)?)),
        Some(file) => {
            session = open(file)?;
            mode_indices(&session, &args.modes)?;
            Meant::Session(&session, &args.modes)
        }
        None => Meant::Nothing,
    };
    let (verdict, kind) = of_a_file(&args.dir, layout, meant)?;
    let remark = match kind.as_str() {
        "" => String::new(),
        kind => format!("It was read as {kind}; --against SESSION or DIR tells whether it is the one meant.\n"),
    };
    Ok((verdict, remark))
}
