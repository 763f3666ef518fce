//! The ledger's own chain: what holds for all properties.

use chrono::{DateTime, Utc};
use rusqlite::params;
use uuid::Uuid;

use super::Store;
use super::append::Receipt;
use super::error::{AppendError, Refusal, StoreError};
use crate::ledger::entry::{Body, ENVELOPE_VERSION, Envelope, RawEntry, Remarks};
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::kind::ledger_started::LedgerStarted;
use crate::ledger::settings::Settings;
use crate::ledger::when::When;

impl Store {
    /// The first entry of a new ledger.
    pub(super) fn start(
        &mut self,
        started: LedgerStarted,
        remarks: Remarks,
        recorded: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        let id = Uuid::new_v4();
        self.own = (id, 0, Hash::START);
        self.begin()?;
        self.execute(include_str!("sql/insert_chain.sql"), params![0, id.to_string()])?;
        let raw = self.seal_own(remarks, started.into(), recorded);
        self.write_own(&raw.0, raw.1)?;
        self.read_settings()?;
        self.mark_current()?;
        self.commit()
    }

    /// Changes a setting, or a duty for all houses; rows that depend on it are computed anew.
    pub fn append_setting(
        &mut self,
        change: impl Into<Fact>,
        remarks: Remarks,
        recorded: DateTime<Utc>,
    ) -> Result<Receipt, AppendError> {
        let fact: Fact = change.into();
        if self.read_only {
            return Err(StoreError::ReadOnly { path: self.path.clone() }.into());
        }
        self.begin()?;
        let mut found = Vec::new();
        fact.problems_in_ledger(&self.settings, &mut found);
        if !found.is_empty() {
            self.roll_back();
            let refuse = |problem| Refusal { index: 0, key: "ledger".into(), problem };
            return Err(AppendError::Refused(found.into_iter().map(refuse).collect()));
        }
        let kind = fact.kind();
        let mut settings = self.settings.clone();
        fact.apply_to_ledger(&mut settings);
        let (raw, id) = self.seal_own(remarks, fact, recorded);
        let written = self.write_own(&raw, id);
        if let Err(error) = written {
            self.roll_back();
            return Err(error.into());
        }
        let seq = self.own.1 + 1;
        self.commit()?;
        // Not read back: once it is committed, nothing may fail any more.
        self.settings = settings;
        self.own = (self.own.0, seq, raw.hash);
        // What is kept was computed under the settings of before.
        self.kept.clear();
        Ok(Receipt { key: "ledger".into(), seq, kind, hash: raw.hash, subjects: Vec::new(), already: false })
    }

    fn seal_own(&self, remarks: Remarks, fact: Fact, recorded: DateTime<Utc>) -> (RawEntry, Uuid) {
        let (property, length, prev) = self.own;
        let id = Uuid::now_v7();
        let envelope = Envelope {
            v: ENVELOPE_VERSION,
            property,
            seq: length + 1,
            prev,
            id,
            kind: fact.kind().to_owned(),
            on: When::day(recorded.date_naive()),
            recorded,
            body: Hash::START,
        };
        (envelope.seal(Body { remarks, fact }.seal()), id)
    }

    fn write_own(&self, raw: &RawEntry, id: Uuid) -> Result<(), StoreError> {
        let seq = self.own.1 + 1;
        self.write_entry(0, seq, id, raw)?;
        self.execute(include_str!("sql/update_head.sql"), params![0, seq, raw.hash.as_bytes()])
    }

    /// Takes over what another program set since, in the transaction under way: rows written from here on go by it.
    pub(super) fn follow_settings(&mut self) -> Result<(), StoreError> {
        if self.settings_of == self.writing {
            return Ok(());
        }
        let (id, _, head) = self.own;
        if self.chain(id)?.is_some_and(|own| own.head != head) {
            self.kept.clear();
            self.read_settings()?;
        }
        self.settings_of = self.writing;
        Ok(())
    }

    /// Reads the settings as they stand.
    pub(super) fn read_settings(&mut self) -> Result<(), StoreError> {
        let entries = self.entries_of_chain(0)?;
        let mut settings = Settings::default();
        for body in entries.iter().filter_map(|e| e.body.as_ref()) {
            body.fact.apply_to_ledger(&mut settings);
        }
        if let Some(last) = entries.last() {
            self.own = (last.envelope.property, last.seq(), last.hash);
        }
        self.settings = settings;
        Ok(())
    }
}
