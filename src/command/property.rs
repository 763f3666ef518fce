//! `property`: houses come into the ledger, change, and leave it.

use chrono::{Datelike, NaiveDate};
use chrono_tz::Tz;
use uuid::Uuid;

use super::duty::span;
use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::calendar::hemisphere::is_southern;
use crate::calendar::own::month_day;
use crate::calendar::windows::Year;
use crate::ledger::kind::property_added::PropertyAdded;
use crate::ledger::kind::property_archived::PropertyArchived;
use crate::ledger::kind::property_changed::PropertyChanged;
use crate::ledger::problem::Problem;
use crate::ledger::subject::Name;
use crate::quantity::Currency;
use crate::store::{Store, Target};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// What people call it: a name or an address
    #[arg(long, value_name = "TEXT")]
    pub name: Option<String>,
    /// Time zone, such as America/Chicago; a house that is added without one has UTC
    #[arg(long, value_name = "ZONE")]
    pub zone: Option<String>,
    /// The year it was built
    #[arg(long, value_name = "YEAR")]
    pub built: Option<i32>,
    /// Usual day of the last freeze in spring, such as 04-25
    #[arg(long, value_name = "MM-DD")]
    pub last_freeze: Option<String>,
    /// Usual day of the first freeze in autumn, such as 10-12
    #[arg(long, value_name = "MM-DD")]
    pub first_freeze: Option<String>,
    /// Climate zone (IECC) such as 5A, whose usual freeze dates stand where none are given
    #[arg(long, value_name = "ZONE")]
    pub climate_zone: Option<String>,
    /// Day on which the wet season begins, such as 10-01
    #[arg(long, value_name = "MM-DD")]
    pub wet_season: Option<String>,
    /// What replacing the house would cost, such as "350000 USD"
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    pub value: Option<String>,
}

// Who has to know of a visit, and how long before.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Tell {
    /// How long before a visit somebody has to be told, such as 2d or 1w
    #[arg(long, value_name = "TIME")]
    pub notice: Option<String>,
    /// Who has to be told, in your words
    #[arg(long, value_name = "TEXT")]
    pub tell: Option<String>,
}

// Everything that can be different about a property.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Changes {
    #[command(flatten)]
    pub fields: Fields,
    #[command(flatten)]
    pub tell: Tell,
}

impl Changes {
    pub fn changed(
        &self,
        base: Option<PropertyChanged>,
        currency: Currency,
        read: &mut Reading,
    ) -> Result<PropertyChanged, Error> {
        let notice_days = self.tell.notice_days()?.or(base.as_ref().and_then(|b| b.notice_days));
        let tell = self.tell.tell.clone().or_else(|| base.as_ref().and_then(|b| b.tell.clone()));
        Ok(PropertyChanged { notice_days, tell, ..self.fields.changed(base, currency, read) })
    }
}

impl Tell {
    /// The notice in days; months are none, since they are not of one length.
    fn notice_days(&self) -> Result<Option<u32>, Error> {
        let Some(text) = &self.notice else { return Ok(None) };
        let interval = span(text)?;
        if interval.months > 0 {
            return Err(Error::NotASpan { given: text.clone() });
        }
        Ok(Some(interval.days))
    }
}

/// Fewer days than this between last and first freeze are no summer: design rule of this program, to catch slips.
const LEAST_SUMMER: u32 = 14;

impl Fields {
    /// The fact that a property exists: from what was typed, over `base` where one is corrected.
    pub fn added(
        &self,
        base: Option<PropertyAdded>,
        key: Name,
        currency: Currency,
        read: &mut Reading,
    ) -> PropertyAdded {
        let value = read.money("--value", self.value.as_deref(), currency);
        if self.name.is_none() && base.is_none() {
            read.missing("--name");
        }
        let base = base.unwrap_or_else(|| PropertyAdded {
            key: key.clone(),
            name: String::new(),
            zone: "UTC".into(),
            built: None,
            last_freeze: None,
            first_freeze: None,
            climate_zone: None,
            wet_season: None,
            value: None,
        });
        read.problems.extend(self.freeze_problem());
        PropertyAdded {
            key,
            name: self.name.clone().unwrap_or(base.name),
            zone: self.zone.clone().unwrap_or(base.zone),
            built: self.built.or(base.built),
            last_freeze: self.last_freeze.clone().or(base.last_freeze),
            first_freeze: self.first_freeze.clone().or(base.first_freeze),
            climate_zone: self.climate_zone.clone().or(base.climate_zone),
            wet_season: self.wet_season.clone().or(base.wet_season),
            value: value.or(base.value),
        }
    }

    /// Usual freeze dates that were typed and are hardly of one place: no summer lies between them, or they are of the other
    /// side of the equator than the zone beside them.
    fn freeze_problem(&self) -> Option<Problem> {
        let read = |typed: &Option<String>| typed.as_deref().and_then(month_day);
        let (last, first) = (read(&self.last_freeze), read(&self.first_freeze));
        if let Some((last, first)) = last.zip(first) {
            let ordinal = |(month, day)| NaiveDate::from_ymd_opt(2024, month, day).map(|day| day.ordinal0());
            let days = (ordinal(first)? + 366 - ordinal(last)?) % 366;
            if days < LEAST_SUMMER {
                return Some(Problem::NoSummer { days });
            }
        }
        let zone: Tz = self.zone.as_deref()?.parse().ok().filter(|zone: &Tz| zone.name().contains('/'))?;
        let southern = Year::southern_by(last, first)?;
        let of_zone = !zone.name().starts_with("Etc/") && southern != is_southern(zone);
        of_zone.then(|| Problem::OtherSide { zone: zone.name().to_owned(), southern })
    }

    /// The fact that something about a property is different.
    pub fn changed(&self, base: Option<PropertyChanged>, currency: Currency, read: &mut Reading) -> PropertyChanged {
        let value = read.money("--value", self.value.as_deref(), currency);
        let base = base.unwrap_or_default();
        read.problems.extend(self.freeze_problem());
        PropertyChanged {
            name: self.name.clone().or(base.name),
            zone: self.zone.clone().or(base.zone),
            built: self.built.or(base.built),
            last_freeze: self.last_freeze.clone().or(base.last_freeze),
            first_freeze: self.first_freeze.clone().or(base.first_freeze),
            climate_zone: self.climate_zone.clone().or(base.climate_zone),
            wet_season: self.wet_season.clone().or(base.wet_season),
            value: value.or(base.value),
            notice_days: base.notice_days,
            tell: base.tell,
        }
    }
}

/// A property comes into the ledger.
pub fn add(
    context: &Context,
    store: &mut Store,
    key: &str,
    changes: &Changes,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let mut read = Reading::default();
    let key = Name::parse(key)?;
    let added = changes.fields.added(None, key, store.settings().currency, &mut read);
    let told = PropertyChanged {
        notice_days: changes.tell.notice_days()?,
        tell: changes.tell.tell.clone(),
        ..PropertyChanged::default()
    };
    let mut facts = vec![added.into()];
    // Where something does not read, the house is not there yet to be changed.
    if told != PropertyChanged::default() && read.problems.is_empty() {
        facts.push(told.into());
    }
    context.record_read(store, Target::New(Uuid::new_v4()), facts, read, c)
}

/// Something about it is different; with one property only, its key may be left out.
pub fn change(
    context: &Context,
    store: &mut Store,
    key: Option<&str>,
    changes: &Changes,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let place = context.property(store, key)?;
    let mut read = Reading::default();
    let changed = changes.changed(None, store.settings().currency, &mut read)?;
    context.record_read(store, Target::Known(place.id), vec![changed.into()], read, c)
}

/// It is no longer looked after here.
pub fn archive(
    context: &Context,
    store: &mut Store,
    key: &str,
    why: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let place = context.property(store, Some(key))?;
    context.record(store, Target::Known(place.id), vec![PropertyArchived { why: why.to_owned() }.into()], c)
}
