//! Rates as people type them: `3 %`, `-1.5%`.

/// Why a text is no rate that can be reckoned with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum RateError {
    #[error("is not a rate in per cent")]
    NotAPercentage,
    #[error("leaves nothing: a rate has to be above -100 %")]
    NothingLeft,
    #[error("is beyond 100 % a year")]
    Absurd,
}

/// The rate a year as a fraction.
pub fn rate(text: &str) -> Result<f64, RateError> {
    let number = text.trim().strip_suffix('%').ok_or(RateError::NotAPercentage)?.trim();
    let plain = number.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+'));
    let per_cent: f64 = number.parse().map_err(|_| RateError::NotAPercentage)?;
    match per_cent {
        n if !plain || !n.is_finite() => Err(RateError::NotAPercentage),
        n if n <= -100.0 => Err(RateError::NothingLeft),
        n if n > 100.0 => Err(RateError::Absurd),
        n => Ok(n / 100.0),
    }
}

#[cfg(test)]
mod tests {
    use super::{RateError, rate};

    #[test]
    fn rates_are_read_in_per_cent_and_nothing_else() {
        for (text, read) in [
            ("3%", Ok(0.03)),
            (" 2.5 % ", Ok(0.025)),
            ("-1 %", Ok(-0.01)),
            ("0%", Ok(0.0)),
            ("-100 %", Err(RateError::NothingLeft)),
            ("-250%", Err(RateError::NothingLeft)),
            ("101 %", Err(RateError::Absurd)),
            ("0.03", Err(RateError::NotAPercentage)),
            ("nan%", Err(RateError::NotAPercentage)),
            ("1e1%", Err(RateError::NotAPercentage)),
            ("%", Err(RateError::NotAPercentage)),
        ] {
            assert_eq!(rate(text), read, "{text}");
        }
    }
}
