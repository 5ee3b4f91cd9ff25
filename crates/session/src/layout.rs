//! Lays compact RON or JSON out for people: short groups on one line, tables one row a line, the rest one field a line.
//!
//! Only white space is added; every number and text stays byte for byte what the serializer wrote.

/// Longest line that a group may stay on.
const LINE: usize = 110;
const INDENT: &str = "  ";

/// A piece of the document: a text without brackets, or a group with what stands before its bracket.
enum Piece<'t> {
    Plain(&'t str),
    Group { lead: &'t str, open: char, close: char, members: Vec<Piece<'t>> },
}

/// What the lines are written in.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Language {
    /// Knows a comma behind the last member, which keeps differences between versions small.
    Ron,
    /// Does not.
    Json,
}

/// The same document with line breaks and indentation, ending in a new line.
pub(crate) fn lay_out(compact: &str, language: Language) -> String {
    let mut out = String::with_capacity(compact.len() * 2);
    let mut rest = compact;
    for piece in members(&mut rest) {
        write(&piece, 0, language, &mut out);
    }
    out.push('\n');
    out
}

/// Reads members up to the closing bracket of their group, which is left in `rest`.
fn members<'t>(rest: &mut &'t str) -> Vec<Piece<'t>> {
    let mut found = Vec::new();
    loop {
        let end = piece_end(rest);
        let text = rest[..end].trim();
        *rest = &rest[end..];
        match rest.chars().next() {
            Some(open @ ('(' | '[' | '{')) => {
                *rest = &rest[1..];
                let inner = members(rest);
                let close = rest.chars().next().unwrap_or(open);
                *rest = rest.get(1..).unwrap_or_default();
                found.push(Piece::Group { lead: text, open, close, members: inner });
                *rest = rest.strip_prefix(',').unwrap_or(rest);
            }
            Some(',') => {
                found.push(Piece::Plain(text));
                *rest = &rest[1..];
            }
            _ => {
                if !text.is_empty() {
                    found.push(Piece::Plain(text));
                }
                return found;
            }
        }
    }
}

/// Where the next bracket or comma outside a quoted text is.
fn piece_end(text: &str) -> usize {
    let (mut quoted, mut escaped) = (false, false);
    for (at, sign) in text.char_indices() {
        if escaped {
            escaped = false;
        } else if quoted {
            escaped = sign == '\\';
            quoted = sign != '"';
        } else if sign == '"' {
            quoted = true;
        } else if matches!(sign, '(' | ')' | '[' | ']' | '{' | '}' | ',') {
            return at;
        }
    }
    text.len()
}

/// A row of a table or an axis: plain values only, which stay on one line however many they are.
fn is_row(open: char, members: &[Piece<'_>]) -> bool {
    open == '[' && members.iter().all(|piece| matches!(piece, Piece::Plain(text) if !text.starts_with('"')))
}

/// Several rows, which are broken even where they are short so that a table looks like one.
fn is_table(open: char, members: &[Piece<'_>]) -> bool {
    let row = |piece: &Piece<'_>| matches!(piece, Piece::Group { open: '[', .. });
    open == '[' && members.len() > 1 && members.iter().all(row)
}

fn holds_table(piece: &Piece<'_>) -> bool {
    match piece {
        Piece::Plain(_) => false,
        Piece::Group { open, members, .. } => is_table(*open, members) || members.iter().any(holds_table),
    }
}

/// Length on one line.
fn length(piece: &Piece<'_>) -> usize {
    match piece {
        Piece::Plain(text) => text.chars().count() + 1,
        Piece::Group { lead, members, .. } => {
            lead.chars().count() + 3 + members.iter().map(|member| length(member) + 2).sum::<usize>()
        }
    }
}

/// Writes a text with a space behind the colon that ends its field name.
fn write_text(text: &str, out: &mut String) {
    let name_end = match text.strip_prefix('"') {
        Some(quoted) => {
            let mut escaped = false;
            let mut end = |sign| {
                let ends = sign == '"' && !escaped;
                escaped = sign == '\\' && !escaped;
                ends
            };
            quoted.find(&mut end).map(|at| at + 2)
        }
        None => text.find(':'),
    };
    match name_end.filter(|&at| text[at..].starts_with(':')) {
        Some(at) => {
            out.push_str(&text[..=at]);
            out.push(' ');
            out.push_str(&text[at + 1..]);
        }
        None => out.push_str(text),
    }
}

fn write(piece: &Piece<'_>, depth: usize, language: Language, out: &mut String) {
    let (lead, open, close, members) = match piece {
        Piece::Plain(text) => return write_text(text, out),
        Piece::Group { lead, open, close, members } => (lead, *open, *close, members),
    };
    write_text(lead, out);
    out.push(open);
    let short = depth > 0 && depth * INDENT.len() + length(piece) <= LINE && !holds_table(piece);
    if short || is_row(open, members) || members.is_empty() {
        for (index, member) in members.iter().enumerate() {
            out.push_str(if index == 0 { "" } else { ", " });
            write(member, depth + 1, language, out);
        }
    } else {
        for (index, member) in members.iter().enumerate() {
            out.push('\n');
            out.push_str(&INDENT.repeat(depth + 1));
            write(member, depth + 1, language, out);
            if index + 1 < members.len() || language == Language::Ron {
                out.push(',');
            }
        }
        out.push('\n');
        out.push_str(&INDENT.repeat(depth));
    }
    out.push(close);
}
