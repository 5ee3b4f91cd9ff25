//! Writes a session as RON or JSON, to a text or to a file that is never left half written.

use std::{
    fmt, fs,
    io::Write,
    path::{Path, PathBuf},
};

use atomic_write_file::AtomicWriteFile;
use ron::extensions::Extensions;
use serde::Serialize;

use crate::{
    Fault, Session,
    below::{self, Form},
    check,
    fault::quoted,
    layout::{Language, lay_out},
    read::{Format, ron_options},
    stamp::Stamp,
};

/// Why a session could not be written.
#[derive(Debug)]
pub enum WriteFault {
    /// The file's name ends in neither `.ron` nor `.json`.
    Extension(PathBuf),
    /// The document cannot be put into the language.
    Document(String),
    /// The disk refused.
    Disk(PathBuf, std::io::Error),
    /// Another program changed the file since it was read or saved last.
    Changed(PathBuf),
}

impl fmt::Display for WriteFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WriteFault::Extension(path) => {
                write!(out, "{}: a session file's name must end in .ron or .json.", path.display())
            }
            WriteFault::Document(reason) => write!(out, "The session cannot be written: {reason}."),
            WriteFault::Disk(path, error) => {
                write!(out, "{}: the file cannot be written: {error}; what stood there is untouched.", path.display())
            }
            WriteFault::Changed(path) => write!(
                out,
                "{}: another program changed the file since it was opened; nothing was written over, save under another name.",
                path.display()
            ),
        }
    }
}

impl std::error::Error for WriteFault {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            WriteFault::Disk(_, error) => Some(error),
            _ => None,
        }
    }
}

/// The session as RON, laid out for people; reading it back gives the same session bit for bit.
pub fn to_ron(session: &Session) -> Result<String, WriteFault> {
    ron_text(session)
}

pub(crate) fn ron_text<T: Serialize>(value: &T) -> Result<String, WriteFault> {
    let options = ron_options().with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES);
    let compact = options.to_string(value).map_err(|error| WriteFault::Document(error.to_string()))?;
    Ok(lay_out(&compact, Language::Ron))
}

/// Any document of this program's family as text, laid out for people.
pub fn document_text<T: Serialize>(value: &T, format: Format) -> Result<String, WriteFault> {
    match format {
        Format::Ron => ron_text(value),
        Format::Json => {
            let compact = serde_json::to_string(value).map_err(|error| WriteFault::Document(error.to_string()))?;
            Ok(lay_out(&compact, Language::Json))
        }
    }
}

/// The session as JSON, laid out for people; reading it back gives the same session bit for bit.
///
/// JSON has no way to write NaN or infinity, so a session with such a number is refused and names its place.
pub fn to_json(session: &Session) -> Result<String, WriteFault> {
    let compact = serde_json::to_string(session).map_err(|error| WriteFault::Document(error.to_string()))?;
    // The serializer writes null for what is not finite; then the copy would differ or not be readable at all.
    if compact.contains("null")
        && !serde_json::from_str::<Session>(&compact).is_ok_and(|copy| copy == session.clone().standing_alone())
    {
        return Err(not_finite(session));
    }
    Ok(lay_out(&compact, Language::Json))
}

/// Saves a session by the end of the file's name, RON or JSON: either the whole new file is there afterwards, on the disk
/// itself, or the old one is untouched. One that rests on another is written as its differences, or whole where the other
/// does not lie where the new file would look for it: then a fault says that the file stands alone.
///
/// Work that does not pass the check is saved all the same, for it must never be lost; its faults come back.
pub fn save(path: &Path, session: &Session) -> Result<Vec<Fault>, WriteFault> {
    let (text, alone) = text_for(path, session)?;
    write_whole(path, text.as_bytes()).map_err(|error| WriteFault::Disk(path.to_owned(), error))?;
    Ok(faults_of(session, alone))
}

/// The same where the file is still what it was when it was read or saved last; `None`: it was not there.
///
/// A file that is gone is made anew. What was written comes back with its stamp.
pub fn save_unless_changed(
    path: &Path,
    session: &Session,
    was: Option<Stamp>,
) -> Result<(Vec<Fault>, Stamp), WriteFault> {
    let (text, alone) = text_for(path, session)?;
    let disk = |error| WriteFault::Disk(path.to_owned(), error);
    let is = Stamp::of(path).map_err(disk)?;
    if is.is_some() && is != was {
        return Err(WriteFault::Changed(path.to_owned()));
    }
    write_whole(path, text.as_bytes()).map_err(disk)?;
    Ok((faults_of(session, alone), Stamp::of_bytes(text.as_bytes())))
}

fn faults_of(session: &Session, alone: Option<Fault>) -> Vec<Fault> {
    alone.into_iter().chain(check(session).err().unwrap_or_default()).collect()
}

/// The text of a file, and where a resting session had to be written whole, why.
fn text_for(path: &Path, session: &Session) -> Result<(String, Option<Fault>), WriteFault> {
    let format = Format::of(path).ok_or_else(|| WriteFault::Extension(path.to_owned()))?;
    let mut alone = None;
    if let Some(below) = session.rests_on() {
        let folder = path.parent().unwrap_or(Path::new(""));
        let said = match (below::locate(folder, &below.file), Form::of(session, below)) {
            (Ok(_), Some(form)) => return Ok((form_text(&form, session, format)?, None)),
            (Ok(_), None) => below::NOT_TOLD_APART.to_owned(),
            (Err(said), _) => format!("it must lie where the file would look for it ({said})"),
        };
        let bound = format!("{said}: the file holds the whole session and stands alone");
        alone = Some(Fault::new("", "rests_on", quoted(&below.file), bound));
    }
    let text = match format {
        Format::Ron => to_ron(session)?,
        Format::Json => to_json(session)?,
    };
    Ok((text, alone))
}

/// The text of a resting session.
fn form_text(form: &Form, session: &Session, format: Format) -> Result<String, WriteFault> {
    if format == Format::Ron {
        return ron_text(form);
    }
    let compact = serde_json::to_string(form).map_err(|error| WriteFault::Document(error.to_string()))?;
    if compact.contains("null") && !serde_json::from_str::<Form>(&compact).is_ok_and(|copy| copy == *form) {
        return Err(not_finite(session));
    }
    Ok(lay_out(&compact, Language::Json))
}

/// Why a session cannot be put into JSON.
fn not_finite(session: &Session) -> WriteFault {
    let place = check(session).err().and_then(|faults| faults.into_iter().next());
    let reason = place.map(|fault| fault.to_string()).unwrap_or_else(|| "a number is not finite".to_owned());
    let reason = reason.trim_end_matches('.');
    WriteFault::Document(format!("JSON knows only finite numbers ({reason})"))
}

/// Writes a file whole or not at all.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    // A link is followed, so that the file it leads to is written and the link stays one.
    let target = if path.is_symlink() { fs::canonicalize(path)? } else { path.to_owned() };
    let mut file = AtomicWriteFile::open(target)?;
    file.write_all(bytes)?;
    // Flushes to the disk before the new file takes the place of the old one.
    file.commit()
}
