//! What is let go over the window: told apart by what it is, so that each goes where it belongs.

use std::io::Read;
use std::path::{Path, PathBuf};

/// Most of a file that is looked at to tell what it is, bytes.
const MOST: u64 = 64 * 1024;

/// What it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Dropped {
    /// A session.
    Session(PathBuf),
    /// A folder that a set was handed over into.
    Set(PathBuf),
    /// A measured road profile.
    Profile(PathBuf),
    /// Damper bench data.
    Bench(PathBuf),
    /// A log of a measured run.
    Log(PathBuf),
    /// Something else; the sentence says what could be done with it.
    Unknown(String),
}

/// Looks at a file or folder; reads at most the beginning of a file.
pub fn told_apart(path: &Path) -> Dropped {
    let name = path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
    if path.is_dir() {
        return if path.join("manifest.json").is_file() {
            Dropped::Set(path.to_owned())
        } else {
            Dropped::Unknown(format!(
                "\"{name}\" is a folder without a manifest.json: it holds no set that was handed over."
            ))
        };
    }
    let ending = path.extension().map_or(String::new(), |e| e.to_string_lossy().to_lowercase());
    match ending.as_str() {
        // The manifest stands for its folder.
        "json" if name == "manifest.json" => {
            path.parent().map_or_else(|| Dropped::Session(path.to_owned()), |folder| Dropped::Set(folder.to_owned()))
        }
        "ron" | "json" => Dropped::Session(path.to_owned()),
        "csv" | "txt" | "tsv" => table(path, &name),
        _ => Dropped::Unknown(format!(
            "\"{name}\" is nothing this program reads: let go a session (.ron, .json), the folder of a set, or a table \
             (.csv) of a road profile, of damper bench data or of a log."
        )),
    }
}

fn table(path: &Path, name: &str) -> Dropped {
    let mut bytes = Vec::new();
    let read = std::fs::File::open(path).and_then(|file| file.take(MOST).read_to_end(&mut bytes));
    if let Err(fault) = read {
        return Dropped::Unknown(format!("\"{name}\" cannot be read: {fault}."));
    }
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let header = text.lines().map(str::trim).find(|l| !l.is_empty() && !l.starts_with('#')).unwrap_or("");
    let columns: Vec<String> = header
        .trim_start_matches('\u{feff}')
        .split([',', ';', '\t'])
        .map(|c| c.trim().trim_matches('"').to_lowercase())
        .collect();
    let has = |word: &str| columns.iter().any(|c| c.contains(word));
    let first = columns.first().map_or("", String::as_str);
    if first.starts_with("distance") {
        Dropped::Profile(path.to_owned())
    } else if has("force") && (has("velocity") || has("speed") || has("displacement") || has("position")) {
        Dropped::Bench(path.to_owned())
    } else if first.starts_with("time") {
        Dropped::Log(path.to_owned())
    } else {
        Dropped::Unknown(format!(
            "The table \"{name}\" begins with the columns {}: a road profile begins with distance_m, a log with time_s, \
             damper bench data have velocity, force and current.",
            if header.is_empty() { "of an empty file".to_owned() } else { format!("\"{}\"", columns.join(", ")) }
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_of_file_is_told_by_what_it_holds() {
        let dir = tempfile::tempdir().unwrap();
        let file = |name: &str, text: &str| {
            let path = dir.path().join(name);
            std::fs::write(&path, text).unwrap();
            path
        };
        let profile = file("lane.csv", "# measured\n\ndistance_m,elevation_m\n0,0\n");
        assert_eq!(told_apart(&profile), Dropped::Profile(profile));
        let bench = file("bench.CSV", "\u{feff}Velocity_m_per_s;Force_N;Current_A\n0;0;0\n");
        assert_eq!(told_apart(&bench), Dropped::Bench(bench));
        let strokes = file("strokes.txt", "time_s\tdisplacement_m\tforce_n\tcurrent_a\n");
        assert_eq!(told_apart(&strokes), Dropped::Bench(strokes));
        let log = file("run7.csv", "time_s,seat_z_m_per_s2\n0,0\n");
        assert_eq!(told_apart(&log), Dropped::Log(log));
        let session = file("a.ron", "()");
        assert_eq!(told_apart(&session), Dropped::Session(session));
        let other = file("b.csv", "a,b\n");
        assert!(
            matches!(told_apart(&other), Dropped::Unknown(s) if s.contains("\"a, b\"") && s.contains("distance_m"))
        );
        let picture = file("c.png", "");
        assert!(matches!(told_apart(&picture), Dropped::Unknown(s) if s.contains("c.png")));
    }

    #[test]
    fn a_folder_is_a_set_where_it_has_a_manifest() {
        let dir = tempfile::tempdir().unwrap();
        assert!(matches!(told_apart(dir.path()), Dropped::Unknown(s) if s.contains("manifest.json")));
        let manifest = dir.path().join("manifest.json");
        std::fs::write(&manifest, "{}").unwrap();
        assert_eq!(told_apart(dir.path()), Dropped::Set(dir.path().to_owned()));
        assert_eq!(told_apart(&manifest), Dropped::Set(dir.path().to_owned()));
        assert!(
            matches!(told_apart(&dir.path().join("gone.csv")), Dropped::Unknown(s) if s.contains("cannot be read"))
        );
    }
}
