//! Moist air, the moisture of wood, and mould.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::{Inputs, Number};
use super::outcome::Outcome;
use crate::quantity::{QuantityKind, Share, Temperature};
use crate::trade::mould::{Class, Species};
use crate::trade::{air, mould, wood};

const AIR: Kind = Kind::Quantity(QuantityKind::Temperature, Bounds::from_to("-100 C", "200 C"));
const WOOD: Kind = Kind::Quantity(QuantityKind::Temperature, Bounds::from_to("-40 C", "270 F"));
const SURFACE: Kind = Kind::Quantity(QuantityKind::Temperature, Bounds::from_to("-100 C", "100 C"));
const PERCENT: Kind = Kind::Number(Bounds::from_to("0", "100"), "%");
const HUMIDITY: Input = Input::new("humidity", PERCENT, "relative humidity of the air");
/// An hour of a record: temperature and humidity at the surface.
const HOUR: Kind = Kind::Row(&[
    Input::new("temperature", Kind::Number(Bounds::from_to("-100", "100"), "C"), "at the surface"),
    Input::new("humidity", PERCENT, "at the surface"),
]);

pub static SATURATION: Calculation = Calculation {
    name: "saturation",
    group: Group::Water,
    does: "saturation pressure of water vapour",
    inputs: &[Input::new("temperature", AIR, "temperature")],
    results: &[Output::new("pressure_pa", "Pa; over ice below 0 C")],
    rules: &[&air::SATURATION],
    example: r#"--temperature "25 C""#,
    run: saturation,
};

pub static DEW_POINT: Calculation = Calculation {
    name: "dew-point",
    group: Group::Water,
    does: "dew point of air, the frost point below 0 C",
    inputs: &[Input::new("air", AIR, "temperature of the air"), HUMIDITY],
    results: &[
        Output::new("c", "degrees Celsius; none where the air is all but dry"),
        Output::new("f", "degrees Fahrenheit"),
    ],
    rules: &[&air::DEW_POINT, &air::SATURATION],
    example: r#"--air "75 F" --humidity 60"#,
    run: dew_point,
};

pub static SURFACE_HUMIDITY: Calculation = Calculation {
    name: "surface-humidity",
    group: Group::Water,
    does: "humidity that air makes at a colder surface",
    inputs: &[
        Input::new("air", AIR, "temperature of the air"),
        HUMIDITY,
        Input::new("surface", AIR, "temperature of the surface"),
    ],
    results: &[
        Output::new("humidity_pct", "at the surface, %; above 100 where it condenses"),
        Output::new("condenses", "whether water condenses there"),
    ],
    rules: &[&air::AT_SURFACE, &air::SATURATION],
    example: r#"--air "75 F" --humidity 60 --surface "65 F""#,
    run: surface_humidity,
};

pub static WOOD_MOISTURE: Calculation = Calculation {
    name: "wood-moisture",
    group: Group::Water,
    does: "moisture that wood settles at in air",
    inputs: &[Input::new("temperature", WOOD, "temperature"), HUMIDITY],
    results: &[Output::new("moisture_pct", "% of the dry mass")],
    rules: &[&wood::WOOD_EMC],
    example: r#"--temperature "70 F" --humidity 50"#,
    run: wood_moisture,
};

pub static MOULD_GROWTH: Calculation = Calculation {
    name: "mould-growth",
    group: Group::Water,
    does: "when mould can grow on wood in steady air, by a published model",
    inputs: &[
        Input::new("temperature", SURFACE, "temperature at the surface"),
        Input::new("humidity", PERCENT, "relative humidity at the surface"),
        Input::or("species", Kind::Word(Species::WORDS), "pine", "the wood"),
        Input::or(
            "surface_quality",
            Kind::Number(Bounds::from_to("0", "1"), ""),
            "0",
            "0 resawn, 1 original kiln-dried surface",
        ),
    ],
    results: &[
        Output::new("critical_humidity_pct", "humidity from which it grows, %"),
        Output::new("weeks_to_1", "weeks to index 1, seen under a microscope; none where it is never reached"),
        Output::new("weeks_to_3", "weeks to index 3, first seen by eye; none where it is never reached"),
        Output::new("max_index", "the most it reaches, 0 to 6"),
    ],
    rules: &[&mould::MOULD_GROWTH],
    example: r#"--temperature "20 C" --humidity 97"#,
    run: mould_growth,
};

pub static MOULD_INDEX: Calculation = Calculation {
    name: "mould-index",
    group: Group::Water,
    does: "where an hourly record leads the mould index of a material",
    inputs: &[
        Input::new(
            "hourly",
            Kind::List { of: &HOUR, least: 1, most: mould::MOST_HOURS },
            "temperature and humidity of each hour at the surface",
        ),
        Input::new("class", Kind::Word(Class::WORDS), "how much the material lets mould grow"),
    ],
    results: &[
        Output::new("index", "at the end, 0 to 6"),
        Output::new("peak", "the highest"),
        Output::new("first_1_day", "days to the end of the first hour at 1; none where there is none"),
        Output::new("first_3_day", "days to the end of the first hour at 3; none where there is none"),
    ],
    rules: &[&mould::MOULD_INDEX],
    example: r#"--hourly '[[20,97],[20,97]]' --class very-sensitive"#,
    run: mould_index,
};

fn percent(name: &'static str, number: Number) -> Result<Share, Fault> {
    Share::from_exact(number.exact).ok_or_else(|| Fault::beyond(name))
}

fn humidity(of: &Inputs) -> Result<Share, Fault> {
    percent("humidity", of.number("humidity")?)
}

fn saturation(of: &Inputs) -> Result<Outcome, Fault> {
    Ok(Outcome::new().with("pressure_pa", air::saturation(of.quantity("temperature")?)?.to_pa()))
}

fn dew_point(of: &Inputs) -> Result<Outcome, Fault> {
    let found = air::dew_point(of.quantity("air")?, humidity(of)?)?;
    Ok(Outcome::new().with("c", found.map(Temperature::to_celsius)).with("f", found.map(Temperature::to_fahrenheit)))
}

fn surface_humidity(of: &Inputs) -> Result<Outcome, Fault> {
    let found = air::surface_humidity(of.quantity("air")?, humidity(of)?, of.quantity("surface")?)?;
    Ok(Outcome::new().with("humidity_pct", found.humidity.to_percent()).with("condenses", found.condenses))
}

fn wood_moisture(of: &Inputs) -> Result<Outcome, Fault> {
    let found = wood::moisture(of.quantity("temperature")?, humidity(of)?)?;
    Ok(Outcome::new().with("moisture_pct", found.to_percent()))
}

fn mould_growth(of: &Inputs) -> Result<Outcome, Fault> {
    let species = of.word("species", Species::from_word)?;
    let quality = of.number("surface_quality")?.near;
    let found = mould::growth(of.quantity("temperature")?, humidity(of)?, species, quality)?;
    Ok(Outcome::new()
        .with("critical_humidity_pct", found.critical_humidity_pct)
        .with("weeks_to_1", found.weeks_to_1)
        .with("weeks_to_3", found.weeks_to_3)
        .with("max_index", found.max_index))
}

fn mould_index(of: &Inputs) -> Result<Outcome, Fault> {
    let hour = |row: &&Inputs| {
        let celsius = row.number("temperature")?.exact;
        let temperature = Temperature::from_exact(celsius).ok_or_else(|| Fault::beyond("hourly"))?;
        Ok((temperature, percent("hourly", row.number("humidity")?)?))
    };
    let hourly = of.rows("hourly")?.iter().map(hour).collect::<Result<Vec<_>, Fault>>()?;
    let found = mould::index(&hourly, of.word("class", Class::from_word)?)?;
    Ok(Outcome::new()
        .with("index", found.index)
        .with("peak", found.peak)
        .with("first_1_day", found.first_1_day)
        .with("first_3_day", found.first_3_day))
}
