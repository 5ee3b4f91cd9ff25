//! Reports for a colleague who was not there: what a study found, as one HTML text or as the pages of a PDF.
//!
//! [`Material::gather`] has everything computed, [`paper`] puts it into words, tables and pictures, and [`html`] and
//! [`pdf`] write the same paper in two forms. The same material with the same [`Imprint`] gives the same bytes.
//!
//! **Invariant:** this crate knows no screen and no file; it computes nothing but through `study`.

mod chapters;
mod html;
mod material;
mod paper;
mod pdf;
mod picture;

pub use chapters::paper;
pub use html::html;
pub use material::{Imprint, Material, ReportFault, Wish};
pub use paper::{Block, Cell, Column, Figure, Kind, Mark, Paper, Row, Table};
pub use pdf::pdf;
pub use picture::Picture;
