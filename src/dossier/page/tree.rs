//! What a dossier shows, before it is spelled: headings, paragraphs, lists, tables and figures in the order of reading. Both
//! spellings, HTML ([`super::html`]) and PDF, are made of this and of nothing else, so that they say the same.

use crate::chart;
use crate::dossier::data;
use crate::dossier::text::seen;

/// The whole of it.
pub struct Page {
    pub title: String,
    /// What stands before the sections.
    pub opening: Vec<Block>,
    pub sections: Vec<Section>,
}

/// A part that contents name.
pub struct Section {
    pub id: &'static str,
    pub head: &'static str,
    pub blocks: Vec<Block>,
}

pub enum Block {
    /// `level` 1 is the page's own, 2 a section's.
    Head {
        level: u8,
        id: Option<String>,
        text: Text,
    },
    Words(Text),
    /// Words that hold for the whole file, set apart.
    Says(Text),
    List(Vec<Text>),
    Table(Table),
    /// Drawn by [`chart::svg::draw`], with what stands under it.
    Chart {
        drawn: chart::Picture,
        under: Text,
    },
    Photograph {
        alt: String,
        of: data::Picture,
        under: Text,
    },
    /// Printed as it is.
    Script(&'static str),
}

pub struct Table {
    pub caption: String,
    pub heads: Vec<&'static str>,
    pub rows: Vec<Row>,
}

pub struct Row {
    pub id: Option<String>,
    pub cells: Vec<Text>,
}

/// Words in a line.
#[derive(Default)]
pub struct Text(pub Vec<Piece>);

/// Words of one look; none of it is markup, and nothing in it is unseen.
pub enum Piece {
    Plain(String),
    /// To be copied letter by letter.
    Code(String),
    /// Leads to what has the name `to`, where that is shown.
    Link {
        to: String,
        text: String,
    },
    Band(String),
    /// Struck, or corrected since.
    Gone(String),
    /// Said by the program in place of what is not there.
    Aside(String),
    /// On whose authority.
    Source(String),
}

impl Text {
    pub fn of(text: impl Into<Text>) -> Text {
        text.into()
    }

    pub fn and(mut self, more: impl Into<Text>) -> Text {
        self.0.extend(more.into().0);
        self
    }
}

impl Piece {
    pub fn code(text: impl ToString) -> Piece {
        Piece::Code(seen(&text.to_string()))
    }

    pub fn link(to: impl Into<String>, text: impl ToString) -> Piece {
        Piece::Link { to: to.into(), text: seen(&text.to_string()) }
    }

    pub fn band(text: impl ToString) -> Piece {
        Piece::Band(seen(&text.to_string()))
    }

    pub fn gone(text: &str) -> Piece {
        Piece::Gone(seen(text))
    }

    pub fn aside(text: impl AsRef<str>) -> Piece {
        Piece::Aside(seen(text.as_ref()))
    }

    pub fn source(text: impl AsRef<str>) -> Piece {
        Piece::Source(seen(text.as_ref()))
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Text {
        Text(vec![Piece::Plain(seen(text))])
    }
}

impl From<String> for Text {
    fn from(text: String) -> Text {
        text.as_str().into()
    }
}

impl From<&String> for Text {
    fn from(text: &String) -> Text {
        text.as_str().into()
    }
}

impl From<Piece> for Text {
    fn from(piece: Piece) -> Text {
        Text(vec![piece])
    }
}

/// Nothing where there is none.
impl<T: Into<Text>> From<Option<T>> for Text {
    fn from(text: Option<T>) -> Text {
        text.map_or_else(Text::default, Into::into)
    }
}

impl Row {
    pub fn of(cells: Vec<Text>) -> Row {
        Row { id: None, cells }
    }
}

impl Block {
    pub fn head(level: u8, text: impl Into<Text>) -> Block {
        Block::Head { level, id: None, text: text.into() }
    }

    pub fn words(text: impl Into<Text>) -> Block {
        Block::Words(text.into())
    }

    pub fn table(caption: impl Into<String>, heads: &[&'static str], rows: Vec<Row>) -> Block {
        Block::Table(Table { caption: caption.into(), heads: heads.to_vec(), rows })
    }
}
