//! `setting`: what holds for the whole ledger.

use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::Fact;
use crate::ledger::kind::setting_changed::SettingChanged;
use crate::store::Store;

pub fn change(
    context: &Context,
    store: &mut Store,
    name: &str,
    value: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let fact = SettingChanged { name: name.to_owned(), value: value.to_owned() };
    let sentences = vec![Fact::from(fact.clone()).sentence()];
    let remarks = context.remarks(store, c, &mut Vec::new())?;
    let receipt = store.append_setting(fact, remarks, context.now)?;
    store.rebuild(context.today_at(None), &mut |_, _| ())?;
    Ok(Recorded { receipts: vec![receipt], sentences, beside: Vec::new() })
}
