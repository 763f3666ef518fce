//! Prices of earlier years in the money of a later one.
//!
//! amount x index(later) / index(earlier), by the consumer price index CPI-U of the United States (rule `price-index`). A year
//! before the table counts as its first, one after it as its last, and whoever shows a figure says of which year its money is.
//! Newer figures are a setting, and can be typed; years between two that are known lie on the even growth from one to the other.

/// CPI-U, all items, US city average, 1982-84 = 100: means of twelve months, 2000 to 2024. See rule `price-index`.
const CPI_U: [f64; 25] = [
    172.200, 177.067, 179.875, 183.958, 188.883, 195.292, 201.592, 207.342, 215.303, 214.537, 218.056, 224.939,
    229.594, 232.957, 236.736, 237.017, 240.007, 245.120, 251.107, 255.657, 258.811, 270.970, 292.655, 304.702,
    313.689,
];
/// The years of the first figure and of the last.
const FIRST: i32 = 2000;
const TABLE_ENDS: i32 = FIRST + CPI_U.len() as i32 - 1;

/// Growth a year beyond which a figure is a slip of the pen; the most in the table is 8 %, the least below nothing by 0.4 %.
const LEAST_GROWTH: f64 = 0.8;
const MOST_GROWTH: f64 = 1.5;

/// A figure of a year that the table does not have yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Newer {
    pub year: i32,
    pub figure: f64,
}

impl Newer {
    /// Reads `2025=321.9`. `None` for anything else, a year the table has, or an index beyond belief.
    fn parse(text: &str) -> Option<Newer> {
        let (year, figure) = text.trim().split_once('=')?;
        let newer = Newer { year: year.trim().parse().ok()?, figure: figure.trim().parse().ok()? };
        let years = newer.year.checked_sub(TABLE_ENDS).filter(|years| (1..=100).contains(years))?;
        let growth = newer.figure / CPI_U[CPI_U.len() - 1];
        let believed = LEAST_GROWTH.powi(years)..=MOST_GROWTH.powi(years);
        believed.contains(&growth).then_some(newer)
    }
}

/// The index as it is known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Index {
    /// In order of years.
    newer: Vec<Newer>,
}

impl Index {
    /// The table, and newer figures as they are typed: `2025=321.9, 2026=330.4`; no text, no newer figures. `None` for what
    /// does not read, a year the table has or that is named twice, or an index beyond belief.
    pub fn with(text: &str) -> Option<Index> {
        let mut newer = Vec::new();
        for part in text.split(',').filter(|_| !text.trim().is_empty()) {
            newer.push(Newer::parse(part)?);
        }
        newer.sort_by_key(|newer| newer.year);
        let twice = newer.windows(2).any(|two| two[0].year == two[1].year);
        (!twice).then_some(Index { newer })
    }

    /// The same with the figures of another, which win.
    pub fn overlaid(&self, other: &Index) -> Index {
        let kept = self.newer.iter().filter(|old| other.newer.iter().all(|new| new.year != old.year));
        let mut newer: Vec<Newer> = kept.chain(&other.newer).copied().collect();
        newer.sort_by_key(|newer| newer.year);
        Index { newer }
    }

    /// Figures that the table does not have, in order of years.
    pub fn newer(&self) -> &[Newer] {
        &self.newer
    }

    /// The last year it knows: amounts are shown in the money of that year.
    pub fn newest(&self) -> i32 {
        self.newer.last().map_or(TABLE_ENDS, |newer| newer.year)
    }

    fn of(&self, year: i32) -> f64 {
        if year <= TABLE_ENDS {
            return CPI_U[(year - FIRST).max(0) as usize];
        }
        let mut before = Newer { year: TABLE_ENDS, figure: CPI_U[CPI_U.len() - 1] };
        for &after in &self.newer {
            if year <= after.year {
                let part = f64::from(year - before.year) / f64::from(after.year - before.year);
                return before.figure * (after.figure / before.figure).powf(part);
            }
            before = after;
        }
        before.figure
    }

    /// Whether it knows what money of that year was worth; of a later one it takes the newest.
    pub fn knows(&self, year: i32) -> bool {
        year <= self.newest()
    }

    /// What an amount of one in the money of `year` is in the money of the newest year.
    pub fn factor(&self, year: i32) -> f64 {
        self.of(self.newest()) / self.of(year)
    }
}

#[cfg(test)]
mod tests {
    use super::Index;

    #[test]
    fn amounts_are_brought_to_the_newest_year() {
        // CPI-U 218.056 (2010), 251.107 (2018), 258.811 (2020), 313.689 (2024), by division.
        let index = Index::default();
        for (amount, year, later) in [
            (1200.0, 2010, 1726.28),
            (800.0, 2010, 1150.86),
            (2920.0, 2018, 3647.74),
            (1500.0, 2020, 1818.06),
            (9.0, 2024, 9.0),
        ] {
            assert!((amount * index.factor(year) - later).abs() < 0.01, "{amount} of {year}");
        }
        assert_eq!((index.factor(1990), index.factor(2031)), (index.factor(2000), 1.0));
    }

    #[test]
    fn years_between_the_table_and_a_newer_figure_grow_evenly() {
        // 313.689 x 1.1^2 = 379.56369 in 2026: 2025 is 1.1 times 2024, so its money grows by a tenth.
        let index = Index::with("2026=379.56369").unwrap();
        assert!((index.factor(2025) - 1.1).abs() < 1e-9 && (index.factor(2024) - 1.21).abs() < 1e-9);
        assert!(index.knows(2026) && !index.knows(2027) && !Index::default().knows(2025));
    }

    #[test]
    fn several_newer_figures_each_count_for_their_year() {
        // 2025 = 320, 2027 = 320 x 1.02^2 = 332.928: 2026 lies at 320 x 1.02 = 326.4.
        let index = Index::with(" 2027=332.928 ,2025=320").unwrap();
        assert_eq!((index.newest(), index.newer().len()), (2027, 2));
        for (year, factor) in [(2027, 1.0), (2026, 1.02), (2025, 1.0404), (2024, 332.928 / 313.689), (2030, 1.0)] {
            assert!((index.factor(year) - factor).abs() < 1e-9, "{year}");
        }
        // One that is typed wins over one that is set, and what is set beside it stays.
        let typed = index.overlaid(&Index::with("2025=330").unwrap());
        assert!((typed.factor(2025) - 332.928 / 330.0).abs() < 1e-9 && typed.newest() == 2027);
    }

    #[test]
    fn a_newer_figure_is_taken_and_an_older_or_absurd_one_is_not() {
        let index = Index::with("2025=320").unwrap();
        assert_eq!((index.newest(), index.factor(2025), index.factor(2024)), (2025, 1.0, 320.0 / 313.689));
        assert_eq!(Index::with(""), Some(Index::default()));
        for text in [
            "2024=320",
            "2025=3219",
            "2026=900",
            "2025",
            "2025=32",
            "2025=nan",
            "twelve=320",
            "2300=320",
            "2025=320,",
            "2025=320, 2025=321",
            "2025=320 2026=330",
        ] {
            assert_eq!(Index::with(text), None, "{text}");
        }
    }
}
