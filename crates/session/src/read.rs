//! Reads a session from RON or JSON: every refusal is one sentence that says where and what.

use std::{
    fmt, fs,
    io::Read,
    path::{Path, PathBuf},
};

use ron::extensions::Extensions;
use serde::{Deserialize, de::DeserializeOwned};

use crate::{
    Below, FORMAT, Fault, Session,
    below::{self, Form},
    check,
    fault::{counted, quoted},
};

/// Largest file that is read, in bytes; a session of a hundred full modes stays far below.
pub const LARGEST_FILE: u64 = 64 * 1024 * 1024;

/// The two languages a session is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Native, `*.ron`.
    Ron,
    /// For scripts, `*.json`.
    Json,
}

impl Format {
    /// The language by the end of the file's name.
    pub fn of(path: &Path) -> Option<Format> {
        let end = path.extension()?.to_str()?;
        if end.eq_ignore_ascii_case("ron") {
            Some(Format::Ron)
        } else if end.eq_ignore_ascii_case("json") {
            Some(Format::Json)
        } else {
            None
        }
    }
}

/// Why a session could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadFault {
    /// The file, where there is one.
    pub file: Option<PathBuf>,
    /// What is wrong.
    pub what: Refusal,
}

/// What is wrong with a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// The file cannot be opened or read.
    Unreadable(String),
    /// The file's name ends in neither `.ron` nor `.json`.
    Extension,
    /// The file is larger than anything sensible.
    TooLarge {
        /// Its size in bytes where it is known.
        bytes: u64,
    },
    /// The file is not UTF-8 text.
    NotText {
        /// The first line that is not.
        line: usize,
    },
    /// The document is of a newer format.
    Newer {
        /// The format it says it has.
        format: u64,
    },
    /// The document names no format that ever was.
    NoFormat(String),
    /// The text is not a session.
    Syntax {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong there.
        message: String,
    },
    /// The text is a session whose numbers or names do not hold; never empty.
    Faults(Vec<Fault>),
    /// The session rests on another one, with which something is wrong.
    Below {
        /// As the session names it.
        file: String,
        /// What is wrong, as the clause after "but".
        why: String,
    },
}

impl fmt::Display for ReadFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.file {
            Some(file) => write!(out, "{}: {}", file.display(), self.what),
            None => self.what.fmt(out),
        }
    }
}

impl std::error::Error for ReadFault {}

impl fmt::Display for Refusal {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::Unreadable(reason) => write!(out, "the file cannot be read: {reason}."),
            Refusal::Extension => out.write_str("a session file's name must end in .ron or .json."),
            Refusal::TooLarge { bytes } => {
                write!(out, "the file has {bytes} bytes, but a session must have at most {LARGEST_FILE} bytes.")
            }
            Refusal::NotText { line } => {
                write!(out, "line {line} is not UTF-8 text, but a session must be UTF-8 text throughout.")
            }
            Refusal::Newer { format } => write!(
                out,
                "format is {format}, but this program reads formats up to {FORMAT}: a newer version of the program is needed."
            ),
            Refusal::NoFormat(found) => write!(out, "format is {}, but it must be 1 to {FORMAT}.", one_line(found)),
            Refusal::Syntax { line, column, message } => {
                write!(out, "line {line}, column {column}: {}.", one_line(message))
            }
            Refusal::Below { file, why } => {
                write!(out, "it rests on {}, but {}.", quoted(file), one_line(why.trim_end_matches('.')))
            }
            Refusal::Faults(faults) => match faults.as_slice() {
                [] => out.write_str("the session does not hold."),
                [fault] => fault.fmt(out),
                [fault, rest @ ..] => {
                    let sentence = fault.to_string();
                    write!(out, "{} ({}).", sentence.trim_end_matches('.'), counted(rest.len(), "more fault"))
                }
            },
        }
    }
}

/// Text out of a damaged file on one line: a field's name may hold anything, even a line break.
fn one_line(text: &str) -> String {
    text.chars().flat_map(|c| if c.is_control() { c.escape_default().collect() } else { vec![c] }).collect()
}

/// Reads and checks the session in a file.
pub fn load(path: &Path) -> Result<Session, ReadFault> {
    let (session, faults) = load_draft(path)?;
    if faults.is_empty() {
        Ok(session)
    } else {
        Err(ReadFault { file: Some(path.to_owned()), what: Refusal::Faults(faults) })
    }
}

/// Reads a session whose numbers need not hold yet, with what does not: half-finished work can be opened and mended.
pub fn load_draft(path: &Path) -> Result<(Session, Vec<Fault>), ReadFault> {
    let session = load_above(path, &mut Vec::new()).map_err(|what| ReadFault { file: Some(path.to_owned()), what })?;
    let faults = check(&session).err().unwrap_or_default();
    Ok((session, faults))
}

/// Reads a session that others may lie below of; `above` are the files that led here.
fn load_above(path: &Path, above: &mut Vec<PathBuf>) -> Result<Session, Refusal> {
    let format = Format::of(path).ok_or(Refusal::Extension)?;
    let text = read_text(path)?;
    let text = without_mark(&text);
    let head = match format {
        Format::Ron => ron_value::<Head>(text),
        Format::Json => json_value::<Head>(text),
    };
    let Some(file) = head.ok().filter(|head| head.is_ours()).and_then(|head| head.rests_on) else {
        let session = match format {
            Format::Ron => parse_ron(text),
            Format::Json => parse_json(text),
        };
        return session.map_err(|fault| fault.what);
    };
    let form: Form = parse_document(text, format)?;
    let refuse = |why: String| Refusal::Below { file: file.clone(), why };
    let folder = path.parent().unwrap_or(Path::new(""));
    let below_path = below::locate(folder, &file).map_err(refuse)?;
    let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
    above.push(real(path));
    if above.contains(&real(&below_path)) {
        return Err(refuse("that leads back to it: sessions must not rest on each other in a circle".to_owned()));
    }
    if above.len() > below::MOST_BELOW {
        let most = below::MOST_BELOW;
        return Err(refuse(format!("already {most} sessions rest on each other above it, and more are not read")));
    }
    let session = load_above(&below_path, above).map_err(|what| refuse(what.to_string()))?;
    let below = Below::new(file.clone(), session);
    form.on_top(&below).map_err(|said| Refusal::Below { file, why: format!("what is its own does not fit: {said}") })
}

/// Reads the session that another one is to rest on: one in that session's folder or below it, without a circle. `file`
/// is its path from there.
pub fn load_below(path: &Path, file: &str) -> Result<Below, ReadFault> {
    let named = |what| ReadFault { file: Some(path.to_owned()), what };
    let refuse = |why| named(Refusal::Below { file: file.to_owned(), why });
    let folder = path.parent().unwrap_or(Path::new(""));
    let at = below::locate(folder, file).map_err(refuse)?;
    let mut above = vec![path.canonicalize().unwrap_or_else(|_| path.to_owned())];
    if at.canonicalize().is_ok_and(|at| above.contains(&at)) {
        return Err(refuse("a session must not rest on itself".to_owned()));
    }
    let session = load_above(&at, &mut above).map_err(|what| refuse(what.to_string()))?;
    Ok(Below::new(file, session))
}

/// The text of a regular file of a sensible size.
pub(crate) fn read_text(path: &Path) -> Result<String, Refusal> {
    let unreadable = |error: std::io::Error| Refusal::Unreadable(error.to_string());
    // A pipe would be waited for without end and a device read without end, so only regular files are opened.
    let about = fs::metadata(path).map_err(unreadable)?;
    if !about.is_file() {
        return Err(Refusal::Unreadable("it is not a regular file".to_owned()));
    }
    if about.len() > LARGEST_FILE {
        return Err(Refusal::TooLarge { bytes: about.len() });
    }
    let mut bytes = Vec::new();
    // The file may grow while it is read.
    fs::File::open(path).and_then(|file| file.take(LARGEST_FILE + 1).read_to_end(&mut bytes)).map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(Refusal::TooLarge { bytes: bytes.len() as u64 });
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        Refusal::NotText { line: 1 + good.iter().filter(|&&byte| byte == b'\n').count() }
    })
}

/// Reads any document of this program's family, RON or JSON by the end of the file's name, with the same bounds and the
/// same sentences as a session; its numbers are the caller's to check.
pub fn load_document<T: DeserializeOwned>(path: &Path) -> Result<T, ReadFault> {
    let named = |what| ReadFault { file: Some(path.to_owned()), what };
    let format = Format::of(path).ok_or_else(|| named(Refusal::Extension))?;
    read_text(path).and_then(|text| parse_document(&text, format)).map_err(named)
}

/// The same from a text.
pub fn parse_document<T: DeserializeOwned>(text: &str, format: Format) -> Result<T, Refusal> {
    match format {
        Format::Ron => ron_value(without_mark(text)),
        Format::Json => json_value(without_mark(text)),
    }
}

/// Reads a session in RON without checking its numbers.
pub fn parse_ron(text: &str) -> Result<Session, ReadFault> {
    let text = without_mark(text);
    parse(&|| ron_value::<Head>(text), &|| ron_value::<Session>(text))
}

/// Reads a session in JSON without checking its numbers.
pub fn parse_json(text: &str) -> Result<Session, ReadFault> {
    let text = without_mark(text);
    parse(&|| json_value::<Head>(text), &|| json_value::<Session>(text))
}

/// Only the format, so that a newer document is told apart before its unknown fields are.
#[derive(Deserialize)]
#[serde(rename = "Session")]
struct Head {
    #[serde(default)]
    format: Option<u64>,
    #[serde(default)]
    rests_on: Option<String>,
}

impl Head {
    /// True where the format is one that this program reads.
    fn is_ours(&self) -> bool {
        self.format.is_some_and(|format| (1..=u64::from(FORMAT)).contains(&format))
    }
}

fn parse(
    head: &dyn Fn() -> Result<Head, Refusal>,
    whole: &dyn Fn() -> Result<Session, Refusal>,
) -> Result<Session, ReadFault> {
    let refuse = |what| Err(ReadFault { file: None, what });
    let head = head();
    if let Ok(Head { rests_on: Some(file), .. }) = &head
        && head.as_ref().is_ok_and(Head::is_ours)
    {
        let why = "a text alone does not say where that lies: it is read from its file".to_owned();
        return refuse(Refusal::Below { file: file.clone(), why });
    }
    match head.map(|head| head.format) {
        Ok(Some(format)) if format > u64::from(FORMAT) => return refuse(Refusal::Newer { format }),
        Ok(Some(0)) => return refuse(Refusal::NoFormat("0".to_owned())),
        Ok(None) => return refuse(Refusal::NoFormat("absent".to_owned())),
        // Where even the head cannot be read, the whole says more about it. Format 1 is the first, so that nothing is
        // older yet; an older document would be read with its own structures here and carried over.
        Ok(Some(_)) | Err(_) => {}
    }
    whole().or_else(refuse)
}

/// Some editors begin a file with a byte order mark.
fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

pub(crate) fn ron_options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME)
}

/// Reads RON with `Mixed(crossover_hz: 2.0)` or, where that fails, with `Mixed((crossover_hz: 2.0))` and `Some((…))`.
pub(crate) fn ron_value<T: DeserializeOwned>(text: &str) -> Result<T, Refusal> {
    let bare = ron_options().with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES);
    let first = match bare.from_str(text) {
        Ok(value) => return Ok(value),
        Err(error) => error,
    };
    let second = match ron_options().from_str(text) {
        Ok(value) => return Ok(value),
        Err(error) => error,
    };
    // The attempt that came further met the real fault.
    let (error, options) = if second.span.end > first.span.end { (second, ron_options()) } else { (first, bare) };
    // Read once more for the way to the field, which the error itself does not carry.
    let field = ron::Deserializer::from_str_with_options(text, &options)
        .ok()
        .and_then(|mut reader| serde_path_to_error::deserialize::<_, T>(&mut reader).err())
        .map(|error| error.path().to_string());
    Err(ron_refusal(error, field.as_deref().unwrap_or_default()))
}

/// "vehicle.front.track_m: " before a message that does not name the field itself.
fn at_field(field: &str, message: &str) -> String {
    let name = field.rsplit('.').next().unwrap_or_default();
    if field.is_empty() || field == "." || message.contains(&format!("`{name}`")) {
        message.to_owned()
    } else {
        format!("{field}: {message}")
    }
}

fn ron_refusal(error: ron::error::SpannedError, field: &str) -> Refusal {
    use ron::Error;
    let (start, end) = (error.span.start, error.span.end);
    let within = |outer: &Option<String>| outer.as_ref().map(|name| format!(" in `{name}`")).unwrap_or_default();
    let known = |names: &[&str]| names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let (place, message) = match error.code {
        Error::NoSuchStructField { expected, found, outer } => {
            (start, format!("unknown field `{found}`{}, known are {}", within(&outer), known(expected)))
        }
        Error::NoSuchEnumVariant { expected, found, outer } => {
            (start, format!("unknown name `{found}`{}, known are {}", within(&outer), known(expected)))
        }
        Error::DuplicateStructField { field, outer } => {
            (start, format!("field `{field}`{} stands here a second time", within(&outer)))
        }
        Error::MissingStructField { field, outer } => (end, format!("field `{field}` is missing{}", within(&outer))),
        Error::Eof => (end, "the text ends too early".to_owned()),
        other => (end, lower_first(&other.to_string())),
    };
    Refusal::Syntax { line: place.line, column: place.col, message: at_field(field, &message) }
}

fn json_value<T: DeserializeOwned>(text: &str) -> Result<T, Refusal> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let value = serde_path_to_error::deserialize(&mut reader);
    let field = value.as_ref().err().map_or_else(String::new, |error| error.path().to_string());
    value.map_err(serde_path_to_error::Error::into_inner).and_then(|v| reader.end().map(|()| v)).map_err(|error| {
        let (line, column) = (error.line(), error.column());
        let whole = error.to_string();
        let place = format!(" at line {line} column {column}");
        let message = whole.strip_suffix(place.as_str()).unwrap_or(&whole);
        Refusal::Syntax { line, column, message: at_field(&field, &lower_first(message)) }
    })
}

/// The same text in lower case at its beginning, but for an abbreviation.
fn lower_first(text: &str) -> String {
    let mut signs = text.chars();
    match (signs.next(), signs.clone().next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => first.to_lowercase().chain(signs).collect(),
        _ => text.to_owned(),
    }
}
