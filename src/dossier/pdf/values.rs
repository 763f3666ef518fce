//! The page as values for the template: lists, texts and numbers as JSON, and the files that it shows. Nothing in them is read
//! as markup.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::inks::in_colours;
use super::letters::{WORD, parts, shown};
use crate::chart::svg;
use crate::dossier::data::{Pictures, decoded};
use crate::dossier::page::tree::{Block, Page, Piece, Row, Table, Text};

/// What fits between the margins, in points: Letter is 612 by 792.
const WIDTH: f64 = 482.0;
/// A photograph is no higher, in points: two fit on a page.
const HEIGHT: f64 = 270.0;
/// A pixel where there is room, in points: 96 to the inch, as in a page of HTML.
const PIXEL: f64 = 0.75;
/// Words up to here stay on one page in a row of a table, in letters.
const WHOLE_ROW: usize = 700;
/// A column up to here is as wide as its longest text, in letters: a day fits, and most names of entries.
const IN_A_LINE: usize = 15;
/// No column of words gets a larger share, in letters.
const MOST: usize = 60;
/// A letter of a table with room to spare, and what stands between two columns, in points.
const LETTER: f64 = 4.4;
const GAP: f64 = 7.0;
/// A title beyond is cut where it names the file, in letters.
const TITLE: usize = 200;

/// What the template reads, and the files that it names, in order.
pub struct Values {
    pub page: Value,
    pub files: Vec<(String, Vec<u8>)>,
}

pub fn values(page: &Page, pictures: &Pictures) -> Values {
    let mut all = Made { pictures, ids: ids(page), files: Vec::new() };
    let mut out: Vec<Value> = page.opening.iter().map(|block| all.block(block)).collect();
    for (n, section) in page.sections.iter().enumerate() {
        let id = Some(section.id.to_owned());
        out.push(json!({"is": "section", "new_page": n > 0}));
        out.push(all.block(&Block::Head { level: 2, id, text: section.head.into() }));
        out.extend(section.blocks.iter().map(|block| all.block(block)));
    }
    let title: String = page.title.chars().take(TITLE).collect();
    Values { page: json!({"title": shown(&title), "blocks": out}), files: all.files }
}

struct Made<'a> {
    pictures: &'a Pictures,
    /// What links may lead to: an entry from before the days that are listed is not shown.
    ids: BTreeSet<&'a str>,
    files: Vec<(String, Vec<u8>)>,
}

impl Made<'_> {
    fn block(&mut self, block: &Block) -> Value {
        match block {
            Block::Head { level, id, text } => json!({"is": "head", "level": level, "id": id, "text": self.line(text)}),
            Block::Words(text) => json!({"is": "words", "text": self.line(text)}),
            Block::Says(text) => json!({"is": "says", "text": self.line(text)}),
            Block::List(all) => {
                json!({"is": "list", "lines": all.iter().map(|text| self.line(text)).collect::<Vec<_>>()})
            }
            Block::Table(of) => self.table(of),
            Block::Chart { drawn, under } => {
                // Escapes of letters hold nothing that means anything in SVG.
                let file = self.file("svg", shown(&svg::draw(drawn)).into_bytes());
                let alt = shown(&format!("{}. {}", drawn.title, drawn.says));
                json!({"is": "chart", "file": file, "alt": alt, "under": self.line(under)})
            }
            Block::Photograph { alt, of, under } => {
                let bytes = self.pictures.get(&of.shown).and_then(|text| decoded(text)).unwrap_or_default();
                let file = self.file(of.media.word(), in_colours(&bytes).into_owned());
                let (width, height) = (f64::from(of.width) * PIXEL, f64::from(of.height) * PIXEL);
                let scale = (WIDTH / width).min(HEIGHT / height).min(1.0);
                json!({
                    "is": "photograph", "file": file, "alt": shown(alt), "under": self.line(under),
                    "width": width * scale, "height": height * scale,
                })
            }
            Block::Script(text) => json!({"is": "script", "text": text}),
        }
    }

    fn table(&self, of: &Table) -> Value {
        let row = |row: &Row| {
            let cells: Vec<Value> = row.cells.iter().map(|text| self.line(text)).collect();
            let letters: usize = row.cells.iter().map(letters).sum();
            json!({"id": row.id, "cells": cells, "whole": letters <= WHOLE_ROW})
        };
        json!({
            "is": "table", "caption": shown(&of.caption), "heads": of.heads, "widths": widths(of),
            "rows": of.rows.iter().map(row).collect::<Vec<_>>(),
        })
    }

    fn line(&self, text: &Text) -> Value {
        text.0.iter().map(|one| piece(one, &self.ids)).collect()
    }

    /// Keeps a file, and gives its name; names are few, since typst remembers each for good.
    fn file(&mut self, ending: &str, bytes: Vec<u8>) -> String {
        let name = format!("/{}.{ending}", self.files.len() + 1);
        self.files.push((name.clone(), bytes));
        name
    }
}

fn ids(page: &Page) -> BTreeSet<&str> {
    let blocks = page.opening.iter().chain(page.sections.iter().flat_map(|section| &section.blocks));
    blocks
        .flat_map(|block| match block {
            Block::Head { id, .. } => id.iter().collect(),
            Block::Table(table) => table.rows.iter().filter_map(|row| row.id.as_ref()).collect(),
            _ => Vec::new(),
        })
        .map(String::as_str)
        .collect()
}

fn piece(piece: &Piece, ids: &BTreeSet<&str>) -> Value {
    let text = shown(words(piece));
    let parts = parts(&text);
    match piece {
        Piece::Plain(_) => json!({"is": "plain", "parts": parts}),
        Piece::Code(_) => json!({"is": "code", "parts": parts}),
        Piece::Link { to, .. } if !ids.contains(to.as_str()) => json!({"is": "plain", "parts": parts}),
        Piece::Link { to, .. } => json!({"is": "link", "to": to, "parts": parts}),
        Piece::Band(_) => json!({"is": "band", "parts": parts}),
        Piece::Gone(_) => json!({"is": "gone", "parts": parts}),
        Piece::Aside(_) => json!({"is": "aside", "parts": parts}),
        Piece::Source(_) => json!({"is": "source", "parts": parts}),
    }
}

/// How wide each column is: `auto` for what fits in a line, points for what breaks at a space, and shares of what is left
/// for words, by the longest of them.
fn widths(of: &Table) -> Vec<Value> {
    let width = |(n, head): (usize, &&'static str)| {
        let head = Text::of(*head);
        let cells = || of.rows.iter().filter_map(|row| row.cells.get(n)).chain([&head]);
        let longest = cells().map(letters).max().unwrap_or(0);
        if longest <= IN_A_LINE {
            json!("auto")
        } else if longest <= WORD {
            json!({"points": cells().map(longest_word).max().unwrap_or(0) as f64 * LETTER + GAP})
        } else {
            json!({"share": longest.min(MOST)})
        }
    };
    of.heads.iter().enumerate().map(width).collect()
}

fn longest_word(text: &Text) -> usize {
    let text: String = text.0.iter().map(words).collect();
    text.split_whitespace().map(|word| word.chars().count()).max().unwrap_or(0)
}

fn letters(text: &Text) -> usize {
    text.0.iter().map(|piece| words(piece).chars().count()).sum()
}

/// The words, whatever they look like.
fn words(piece: &Piece) -> &str {
    match piece {
        Piece::Plain(text) | Piece::Code(text) | Piece::Link { text, .. } | Piece::Band(text) => text,
        Piece::Gone(text) | Piece::Aside(text) | Piece::Source(text) => text,
    }
}
