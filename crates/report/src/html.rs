//! The report as one HTML text: no script, nothing fetched, pictures within; light, and fit to be printed.

use crate::paper::{Block, Figure, Kind, Mark, Paper, Table};
use crate::picture::svg::svg;
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("report.css");

/// The whole report as HTML that is well-formed XML as well.
pub fn html(paper: &Paper) -> String {
    let mut pictures = 0;
    let chapters: Vec<&str> = paper
        .blocks
        .iter()
        .filter_map(|b| if let Block::Heading(2, text) = b { Some(text.as_str()) } else { None })
        .collect();
    let page = html! {
        (DOCTYPE)
        html lang="en" xmlns="http://www.w3.org/1999/xhtml" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content=(clean(&paper.program));
                title { (clean(&paper.title)) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                main {
                    @for block in &paper.blocks {
                        (of(block, &chapters, &mut pictures))
                    }
                }
                footer { (clean(&paper.running)) }
            }
        }
    };
    // Empty elements are closed, so that the text is XML too; the document type stays as HTML has it.
    close_empty(page.into_string())
}

/// maud leaves void elements open as HTML allows.
fn close_empty(text: String) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(at) = rest.find("<meta ") {
        let (before, tag) = rest.split_at(at);
        out.push_str(before);
        let end = tag.find('>').unwrap_or(tag.len());
        out.push_str(&tag[..end]);
        out.push('/');
        rest = &tag[end..];
    }
    out.push_str(rest);
    out.replace("<!DOCTYPE html>", "<!DOCTYPE html>\n")
}

/// Text without the control characters that neither HTML nor XML may hold.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() && c != '\n' { ' ' } else { c }).collect()
}

fn of(block: &Block, chapters: &[&str], pictures: &mut usize) -> Markup {
    match block {
        Block::Heading(1, text) => html! {
            h1 { (clean(text)) }
        },
        Block::Heading(2, text) => {
            let number = chapters.iter().position(|c| c == text).map_or(0, |i| i + 1);
            html! { h2 id=(format!("chapter-{number}")) { (clean(text)) } }
        }
        Block::Heading(_, text) => html! { h3 { (clean(text)) } },
        Block::Text(text) => html! { p { (clean(text)) } },
        Block::Note(text) => html! { p.note { (clean(text)) } },
        Block::Caution(title, sentences) => html! {
            section.caution aria-label=(clean(title)) {
                p { strong { (clean(title)) } }
                ul { @for sentence in sentences { li { (clean(sentence)) } } }
            }
        },
        Block::Items(items) => html! { ul { @for item in items { li { (clean(item)) } } } },
        Block::Code(text) => html! { pre { code { (clean(text)) } } },
        Block::Table(table) => of_table(table),
        Block::Figures(figures) => html! {
            div.figures { @for figure in figures { (of_figure(figure, pictures)) } }
        },
        Block::NewPage => html! {},
    }
}

fn of_table(table: &Table) -> Markup {
    let class = |kind: Kind| (kind == Kind::Number).then_some("number");
    html! {
        div.wide {
            table {
                caption { (clean(&table.caption)) }
                thead {
                    tr { @for column in &table.columns { th scope="col" class=[class(column.kind)] { (clean(&column.title)) } } }
                }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (i, (cell, column)) in row.iter().zip(&table.columns).enumerate() {
                                @if i == 0 {
                                    th scope="row" class=[class(column.kind)] { (clean(&cell.text)) }
                                } @else {
                                    td class=[joined(class(column.kind), cell.mark)] { (clean(&cell.text)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn joined(class: Option<&str>, mark: Mark) -> Option<String> {
    let mark = match mark {
        Mark::Plain => None,
        Mark::Better => Some("better"),
        Mark::Worse => Some("worse"),
        Mark::Weak => Some("weak"),
    };
    let all: Vec<&str> = class.into_iter().chain(mark).collect();
    (!all.is_empty()).then(|| all.join(" "))
}

fn of_figure(figure: &Figure, pictures: &mut usize) -> Markup {
    *pictures += 1;
    html! {
        figure {
            (PreEscaped(svg(&figure.picture, &figure.described, *pictures)))
            figcaption { (clean(&figure.caption)) }
        }
    }
}
