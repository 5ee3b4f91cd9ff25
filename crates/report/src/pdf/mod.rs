//! The report as pages of a PDF: text that can be selected and read aloud, bookmarks, identity and number on every page.

mod draw;
mod face;
mod setter;
mod structure;
mod table;

use crate::ReportFault;
use crate::paper::Paper;
use face::Faces;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::Point;
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::{Document, SerializeSettings};

/// A4, points.
pub(crate) const PAGE: [f32; 2] = [595.28, 841.89];
/// Margins left and right, and above and below what is printed between them.
pub(crate) const SIDE: f32 = 45.0;
pub(crate) const ABOVE: f32 = 46.0;
pub(crate) const BELOW: f32 = 58.0;

/// The bytes of the PDF; the same paper gives the same bytes.
///
/// # Errors
/// One sentence where the pages cannot be written.
pub fn pdf(paper: &Paper) -> Result<Vec<u8>, ReportFault> {
    // Accessible to the letter (PDF/UA-1) where every sign of the session is in the fonts, else as near as can be.
    written(paper, true).or_else(|_| written(paper, false))
}

fn written(paper: &Paper, is_accessible: bool) -> Result<Vec<u8>, ReportFault> {
    let faces =
        Faces::load().ok_or_else(|| ReportFault::Pages("the program's own fonts cannot be read.".to_owned()))?;
    let mut pages = setter::set(paper, &faces);
    let mut settings = SerializeSettings::default();
    if is_accessible {
        settings.configuration = ConfigurationBuilder::new()
            .with_accessibility_validator(Accessibility::UA1)
            .finish()
            .map_err(|fault| ReportFault::Pages(format!("{fault:?}.")))?;
    }
    let mut document = Document::new_with(settings);
    draw::pages(&mut document, &mut pages, &faces, &paper.running)
        .ok_or_else(|| ReportFault::Pages("a page has no size.".to_owned()))?;
    let mut outline = Outline::new();
    for (page, top, text) in &pages.chapters {
        outline.push_child(OutlineNode::new(text.clone(), XyzDestination::new(*page, Point::from_xy(SIDE, *top))));
    }
    document.set_outline(outline);
    document.set_tag_tree(pages.structure.tree());
    let mut metadata = Metadata::new()
        .title(paper.title.clone())
        .language("en".to_owned())
        .creator(paper.program.clone())
        .description(paper.running.clone());
    if let Some([year, month, day, hour, minute, second]) = paper.date {
        let small = |n: u16| u8::try_from(n).unwrap_or(0);
        let date = DateTime::new(year).month(small(month)).day(small(day));
        metadata = metadata.creation_date(date.hour(small(hour)).minute(small(minute)).second(small(second)));
    }
    document.set_metadata(metadata);
    document.finish().map_err(|fault| ReportFault::Pages(format!("{fault:?}.")))
}

#[cfg(test)]
mod tests;
