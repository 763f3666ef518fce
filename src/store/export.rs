//! Everything that leaves the ledger row by row: the bytes of entries, and the tables that strangers read.

use rusqlite::types::ValueRef;
use uuid::Uuid;

use super::Store;
use super::error::StoreError;
use crate::ledger::hash::Hash;

/// A table that goes out, and the question that reads it.
pub struct Exported {
    pub name: &'static str,
    sql: &'static str,
}

macro_rules! exported {
    ($($name:literal: $($file:literal)+),+ $(,)?) => {
        &[$(Exported { name: $name, sql: concat!($(include_str!($file)),+) }),+]
    };
}

/// Every table that goes out, in the order in which people ask. A column once there keeps its name and its place: new ones come
/// behind the others.
pub static EXPORTED: &[Exported] = exported![
    "properties": "sql/export_properties.sql",
    "sections": "sql/export_sections.sql",
    "fixtures": "sql/export_fixtures.sql",
    "findings": "sql/export_findings.sql",
    "readings": "sql/export_said.sql" "sql/export_readings.sql",
    "radon_tests": "sql/export_said.sql" "sql/export_radon_tests.sql",
    "air_logs": "sql/export_said.sql" "sql/export_air_logs.sql",
    "sump_tests": "sql/export_said.sql" "sql/export_sump_tests.sql",
    "repairs": "sql/export_said.sql" "sql/export_repairs.sql",
    "judgements": "sql/export_said.sql" "sql/export_judgements.sql",
    "quotes": "sql/export_said.sql" "sql/export_quotes.sql",
    "events": "sql/export_said.sql" "sql/export_events.sql",
    "notes": "sql/export_said.sql" "sql/export_notes.sql",
    "files": "sql/export_said.sql" "sql/export_files.sql",
    "walks": "sql/export_said.sql" "sql/export_walks.sql",
    "duties": "sql/export_duties.sql",
    "entries": "sql/export_said.sql" "sql/export_every.sql",
];

/// One cell of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell<'a> {
    Nothing,
    Whole(i64),
    Number(f64),
    Text(&'a str),
}

/// An entry's bytes as they stand in the ledger.
pub struct Stored<'a> {
    pub envelope: &'a str,
    pub hash: Hash,
    /// `None`: erased, or never here.
    pub body: Option<&'a str>,
}

impl Store {
    /// The rows of a table, of one property or of all: first the names of its columns, then each row.
    pub fn export_table<E: From<StoreError>>(
        &self,
        table: &Exported,
        property: Option<Uuid>,
        columns: &mut dyn FnMut(&[&str]) -> Result<(), E>,
        each: &mut dyn FnMut(&[Cell]) -> Result<(), E>,
    ) -> Result<(), E> {
        let sql = |e| E::from(self.sql(e));
        let (first, last) = self.chains_of(property)?;
        let mut statement = self.connection.prepare_cached(table.sql).map_err(sql)?;
        let width = statement.column_count();
        columns(&statement.column_names().collect::<Vec<&str>>())?;
        let mut rows = statement.query([first, last]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            let mut cells = Vec::with_capacity(width);
            for column in 0..width {
                cells.push(match row.get_ref(column).map_err(sql)? {
                    ValueRef::Null | ValueRef::Blob(_) => Cell::Nothing,
                    ValueRef::Integer(n) => Cell::Whole(n),
                    ValueRef::Real(n) => Cell::Number(n),
                    ValueRef::Text(text) => Cell::Text(std::str::from_utf8(text).map_err(|e| {
                        let detail = format!("table {}: {e}", table.name);
                        E::from(StoreError::Damaged { path: self.path.clone(), detail })
                    })?),
                });
            }
            each(&cells)?;
        }
        Ok(())
    }

    /// The bytes of every entry, of one property or of all, chain by chain.
    pub fn export_entries<E: From<StoreError>>(
        &self,
        property: Option<Uuid>,
        each: &mut dyn FnMut(Stored) -> Result<(), E>,
    ) -> Result<(), E> {
        let sql = |e| E::from(self.sql(e));
        let (first, last) = self.chains_of(property)?;
        let mut statement = self.connection.prepare_cached(include_str!("sql/export_entries.sql")).map_err(sql)?;
        let mut rows = statement.query([first, last]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            let text = |column| row.get_ref(column).and_then(|value| Ok(value.as_str_or_null()?));
            let envelope = text(0).map_err(sql)?.unwrap_or_default();
            let hash = super::read::hash(row, 1).map_err(sql)?;
            each(Stored { envelope, hash, body: text(2).map_err(sql)? })?;
        }
        Ok(())
    }

    /// The first and the last chain of what is asked for; the ledger's own chain is no property's.
    fn chains_of(&self, property: Option<Uuid>) -> Result<(i64, i64), StoreError> {
        let Some(id) = property else { return Ok((1, i64::MAX)) };
        let number = self.chain(id)?.map_or(super::NO_CHAIN, |chain| chain.number);
        Ok((number, number))
    }
}
