//! A report as a file: its form by its name, and the command that writes the same one.

use crate::cli::{Assumed, StatesName};
use anyhow::{Result, bail};
use std::path::Path;
use washboard_report::{Material, Wish, html, paper, pdf};
use washboard_study::Study;

/// In which form a report is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// One HTML text.
    Html,
    /// Pages.
    Pdf,
}

impl Form {
    /// The form that a file name asks for.
    pub fn of(path: &Path) -> Result<Form> {
        let is = |wanted: &str| path.extension().is_some_and(|e| e.eq_ignore_ascii_case(wanted));
        match () {
            () if is("html") || is("htm") => Ok(Form::Html),
            () if is("pdf") => Ok(Form::Pdf),
            () => bail!("{} is neither .html nor .pdf: a report is written as one of these", path.display()),
        }
    }
}

/// What goes into the file.
pub fn bytes(material: &Material, form: Form) -> Result<Vec<u8>> {
    let paper = paper(material);
    Ok(match form {
        Form::Html => html(&paper).into_bytes(),
        Form::Pdf => pdf(&paper)?,
    })
}

/// The command that writes the same report.
pub fn command(session: &Path, out: &Path, study: &Study, wish: &Wish, assumed: &Assumed) -> String {
    let mut words = vec!["washboard".to_owned(), "report".to_owned(), quoted(&session.display().to_string())];
    let mut option = |name: &str, value: &str| words.extend([format!("--{name}"), quoted(value)]);
    option("model", wish.model.name());
    let (modes, cases, events) = (study.mode_names(), study.load_case_names(), study.event_names());
    wish.modes.iter().filter_map(|m| modes.get(*m)).for_each(|name| option("mode", name));
    wish.load_cases.iter().filter_map(|c| cases.get(*c)).for_each(|name| option("load-case", name));
    if let Some(name) = modes.get(wish.reference) {
        option("reference", name);
    }
    if let Some(name) = wish.event.and_then(|e| events.get(e)) {
        option("event", name);
    }
    option("speed-km-h", &wish.speed_km_h.to_string());
    option("roughness-m-per-s2", &wish.roughness_m_per_s2.to_string());
    if let Some(states) = assumed.states {
        option("states", if states == StatesName::Ideal { "ideal" } else { "estimated" });
    }
    if let Some(temperature) = assumed.damper_temperature_c {
        option("damper-temperature-c", &temperature.to_string());
    }
    option("out", &out.display().to_string());
    if assumed.supply_lost {
        words.push("--supply-lost".to_owned());
    }
    words.join(" ")
}

/// As a shell takes it back.
fn quoted(word: &str) -> String {
    let is_plain = !word.is_empty() && word.chars().all(|c| c.is_ascii_alphanumeric() || "-_./:".contains(c));
    if is_plain { word.to_owned() } else { format!("'{}'", word.replace('\'', "'\\''")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_form_is_that_of_the_name() {
        assert_eq!(Form::of(Path::new("a/b.PDF")).unwrap(), Form::Pdf);
        assert_eq!(Form::of(Path::new("b.html")).unwrap(), Form::Html);
        let refused = Form::of(Path::new("b.txt")).unwrap_err().to_string();
        assert!(refused.contains("b.txt") && refused.contains(".pdf"));
    }

    #[test]
    fn words_go_through_a_shell_as_they_are() {
        assert_eq!(quoted("full"), "full");
        assert_eq!(quoted("it's 5 °C"), "'it'\\''s 5 °C'");
        assert_eq!(quoted(""), "''");
    }
}
