//! Measured profiles that a session's events name: CSV files beside the session, never outside its folder.

use crate::profile_file::{parse, raw};
use anyhow::{Context, Result, ensure};
use std::path::{Component, Path, PathBuf};
use washboard_session::{EventKind, Session};
use washboard_study::Profiles;

/// The profiles that come with the demo, which belongs to no folder.
const OF_THE_DEMO: [(&str, &str); 1] = [("dip.csv", include_str!("../../../demo-sessions/dip.csv"))];

/// Reads every profile that the session's events name: relative to `folder`, or for a session that was never saved
/// those of the demo.
pub fn read_all(session: &Session, folder: Option<&Path>) -> Result<Profiles> {
    let mut profiles = Profiles::default();
    let mut seen: Vec<&str> = Vec::new();
    for (index, event) in session.events.iter().enumerate() {
        let EventKind::Profile { file } = &event.kind else { continue };
        if seen.contains(&file.as_str()) {
            continue;
        }
        let profile = match folder {
            Some(folder) => locate(folder, file).and_then(|path| read(&path)),
            None => match of_the_demo(file) {
                Some(text) => parse(text.as_bytes(), file),
                None => Err(anyhow::anyhow!("a profile lies beside the session's file: save the session first")),
            },
        };
        let profile = profile.with_context(|| format!("events[{index}] {:?}.kind.file {file:?}", event.name))?;
        profiles.insert(file.clone(), profile);
        seen.push(file);
    }
    Ok(profiles)
}

fn of_the_demo(file: &str) -> Option<&'static str> {
    OF_THE_DEMO.iter().find(|(name, _)| *name == file).map(|(_, text)| *text)
}

/// Puts the profiles that a session names beside its new file, where they are not there yet: from the folder it was in,
/// or those of the demo. A file that exists is never touched.
pub fn carry(session: &Session, from: Option<&Path>, to: &Path) -> Result<()> {
    for file in named(session) {
        let target = to.join(&file);
        if !is_inside(&file) || target.exists() {
            continue;
        }
        let bytes = match from {
            Some(from) => {
                let source = locate(from, &file)?;
                raw(&source)?
            }
            None => match of_the_demo(&file) {
                Some(text) => text.as_bytes().to_vec(),
                None => continue,
            },
        };
        if let Some(folder) = target.parent() {
            std::fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
            // A link on the way must not lead the copy out of the folder that was chosen.
            let real = |path: &Path| path.canonicalize().with_context(|| format!("{} cannot be read", path.display()));
            ensure!(real(folder)?.starts_with(real(to)?), "{} leads out of {}", folder.display(), to.display());
        }
        crate::sink::write_file(&target, &bytes)?;
    }
    Ok(())
}

/// The files that the session's events name, in their order.
pub fn named(session: &Session) -> Vec<String> {
    let file_of = |kind: &EventKind| if let EventKind::Profile { file } = kind { Some(file.clone()) } else { None };
    session.events.iter().filter_map(|event| file_of(&event.kind)).collect()
}

/// A profile that an event can name.
#[derive(Clone, Debug, PartialEq)]
pub struct Adopted {
    /// Its path relative to the session's folder, with `/` between parts.
    pub file: String,
    /// How long it is, m.
    pub length_m: f64,
    /// What was done to get it there, one sentence.
    pub copied: Option<String>,
}

/// Reads a chosen profile and names it relative to the session's folder; one from elsewhere is copied beside the session
/// first. A file that exists is never touched.
pub fn adopt(folder: &Path, chosen: &Path) -> Result<Adopted> {
    let profile = read(chosen)?;
    let x = profile.distance_m();
    let length_m = x[x.len() - 1] - x[0];
    let real = |path: &Path| path.canonicalize().with_context(|| format!("{} cannot be read", path.display()));
    let (real_folder, real_chosen) = (real(folder)?, real(chosen)?);
    if let Ok(inside) = real_chosen.strip_prefix(&real_folder) {
        let parts: Vec<_> = inside.components().map(|part| part.as_os_str().to_string_lossy()).collect();
        return Ok(Adopted { file: parts.join("/"), length_m, copied: None });
    }
    let name = chosen.file_name().with_context(|| format!("{} is not a file", chosen.display()))?;
    let target = real_folder.join(name);
    let bytes = raw(chosen)?;
    let copied = if target.exists() {
        let there = raw(&target)?;
        let name = name.to_string_lossy();
        ensure!(there == bytes, "another {name} lies beside the session already: give one of them another name");
        None
    } else {
        crate::sink::write_file(&target, &bytes)?;
        Some(format!("{} was copied beside the session.", name.to_string_lossy()))
    };
    Ok(Adopted { file: name.to_string_lossy().into_owned(), length_m, copied })
}

pub use crate::profile_file::read;

/// The path of a profile named in a session: relative, and inside the session's folder even behind links.
fn locate(folder: &Path, file: &str) -> Result<PathBuf> {
    ensure!(is_inside(file), "a profile's path must be relative and stay inside the session's folder");
    let path = folder.join(file);
    let real_folder = folder.canonicalize().with_context(|| format!("{} cannot be read", folder.display()))?;
    let real_path = path.canonicalize().with_context(|| format!("{} cannot be read", path.display()))?;
    ensure!(real_path.starts_with(&real_folder), "a profile's path must stay inside the session's folder");
    Ok(path)
}

/// True for a path that leads down from where it begins.
fn is_inside(file: &str) -> bool {
    let is_plain = Path::new(file).components().all(|c| matches!(c, Component::Normal(_) | Component::CurDir));
    is_plain && !file.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn profiles_follow_a_session_to_its_new_folder() {
        let dir = tempfile::tempdir().unwrap();
        let (old, new) = (dir.path().join("old"), dir.path().join("new"));
        std::fs::create_dir_all(old.join("roads")).unwrap();
        std::fs::create_dir(&new).unwrap();
        let text = "distance_m,elevation_m\n0,0\n1,0\n";
        std::fs::write(old.join("roads/a.csv"), text).unwrap();
        let mut session = crate::window::work::Work::demo().unwrap().session().clone();
        for event in &mut session.events {
            event.kind = EventKind::Profile { file: "roads/a.csv".to_owned() };
        }
        carry(&session, Some(&old), &new).unwrap();
        assert!(read_all(&session, Some(&new)).is_ok());
        // What lies there already stays.
        std::fs::write(new.join("roads/a.csv"), "mine").unwrap();
        carry(&session, Some(&old), &new).unwrap();
        assert_eq!(std::fs::read(new.join("roads/a.csv")).unwrap(), b"mine");
        // The demo brings its own.
        let demo = crate::window::work::Work::demo().unwrap();
        assert!(read_all(demo.session(), None).is_ok());
        carry(demo.session(), None, &new).unwrap();
        assert!(read_all(demo.session(), Some(&new)).is_ok());
        assert!(read_all(&session, None).is_err_and(|e| format!("{e:#}").contains("save the session first")));
    }

    #[test]
    fn a_profile_stays_inside_the_sessions_folder() {
        let dir = tempfile::tempdir().unwrap();
        let inside = dir.path().join("sessions");
        std::fs::create_dir(&inside).unwrap();
        std::fs::write(dir.path().join("outside.csv"), "distance_m,elevation_m\n0,0\n1,0\n").unwrap();
        std::fs::write(inside.join("road.csv"), "distance_m,elevation_m\n0,0\n1,0\n").unwrap();
        assert!(locate(&inside, "road.csv").is_ok());
        assert!(locate(&inside, "../outside.csv").is_err());
        assert!(locate(&inside, dir.path().join("outside.csv").to_str().unwrap()).is_err());
        assert!(locate(&inside, "").is_err());
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(dir.path().join("outside.csv"), inside.join("link.csv")).unwrap();
            assert!(locate(&inside, "link.csv").is_err());
            // Nor is anything written behind a link.
            let away = dir.path().join("away");
            std::fs::create_dir(&away).unwrap();
            let target = dir.path().join("target");
            std::fs::create_dir(&target).unwrap();
            std::os::unix::fs::symlink(&away, target.join("roads")).unwrap();
            std::fs::create_dir(inside.join("roads")).unwrap();
            std::fs::copy(inside.join("road.csv"), inside.join("roads/a.csv")).unwrap();
            let mut session = crate::window::work::Work::demo().unwrap().session().clone();
            session.events.truncate(1);
            session.events[0].kind = EventKind::Profile { file: "roads/a.csv".to_owned() };
            assert!(carry(&session, Some(&inside), &target).is_err());
            assert_eq!(std::fs::read_dir(&away).unwrap().count(), 0);
        }
    }

    #[test]
    fn a_profile_from_elsewhere_is_copied_once_and_never_over_another() {
        let (home, away) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let road = "distance_m,elevation_m\n0,0\n5,0.01\n20,0\n";
        let chosen = away.path().join("lane.csv");
        std::fs::write(&chosen, road).unwrap();
        let first = adopt(home.path(), &chosen).unwrap();
        assert_eq!((first.file.as_str(), first.length_m), ("lane.csv", 20.0));
        assert!(first.copied.is_some_and(|s| s.contains("lane.csv")));
        assert_eq!(std::fs::read_to_string(home.path().join("lane.csv")).unwrap(), road);
        assert_eq!(adopt(home.path(), &chosen).unwrap().copied, None, "the same file again");
        std::fs::write(&chosen, road.replace("0.01", "0.02")).unwrap();
        let refused = format!("{:#}", adopt(home.path(), &chosen).unwrap_err());
        assert!(refused.contains("another lane.csv"), "{refused}");
        let below = home.path().join("roads");
        std::fs::create_dir(&below).unwrap();
        std::fs::write(below.join("a.csv"), road).unwrap();
        assert_eq!(adopt(home.path(), &below.join("a.csv")).unwrap().file, "roads/a.csv");
        std::fs::write(&chosen, "distance_m,elevation_m\n0,0\n0,1\n").unwrap();
        assert!(adopt(home.path(), &chosen).is_err(), "what is no profile is not taken");
    }
}
