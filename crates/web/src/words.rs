//! How names, dates and numbers are said to people, the same on every page.
//!
//! In: ids, ISO dates, plain numbers in the unit the function names. Out: short texts.
//! Source: factors between metric and US customary units are exact by the international foot
//! of 0.3048 m (1959 agreement; memory).
//! Not here: intervals and estimates (crate `stand`), sentences of one page.

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Planting, Purpose, SeedingMethod};

use crate::app::App;

/// Square metres in one square foot: 0.3048 m squared, exact.
pub const M2_PER_FT2: f64 = 0.3048 * 0.3048;

/// Centimetres in one inch, exact.
pub const CM_PER_INCH: f64 = 2.54;

/// A taxon's common and scientific name. One the key no longer has goes by its id, with an empty
/// scientific name.
pub fn taxon_name(app: &App, id: &str) -> (String, String) {
    match app.key.taxon(id) {
        Some(taxon) => (taxon.common_name.clone(), taxon.scientific_name.clone()),
        None => (id.to_owned(), String::new()),
    }
}

/// A date for people: `2026-07-14` gives `14 July 2026`. What is no date comes back as it is.
pub fn date_words(iso: &str) -> String {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    match standbook_fieldbook::time::parse_date(iso) {
        Some(date) => {
            let month = MONTHS
                .get(usize::try_from(date.month()).unwrap_or(0).wrapping_sub(1))
                .copied()
                .unwrap_or_default();
            format!("{} {month} {}", date.day(), date.year())
        }
        None => iso.to_owned(),
    }
}

/// An instant of the book in the time zone of this machine, to the minute:
/// `2026-07-14T15:04:05.123Z` gives `14 July 2026, 10:04` in Kansas. What is no instant comes
/// back as it is.
pub fn instant_words(stamp: &str) -> String {
    match standbook_fieldbook::time::parse_stamp(stamp) {
        Some(instant) => {
            let here = instant.to_zoned_datetime(jiff::tz::TimeZone::system());
            let day = date_words(&here.date().to_string());
            format!("{day}, {:02}:{:02}", here.hour(), here.minute())
        }
        None => stamp.to_owned(),
    }
}

/// The day of an instant in the time zone of this machine: `14 July 2026`. What is no instant comes
/// back as it is.
pub fn day_words(stamp: &str) -> String {
    match standbook_fieldbook::time::parse_stamp(stamp) {
        Some(instant) => {
            let here = instant.to_zoned_datetime(jiff::tz::TimeZone::system());
            date_words(&here.date().to_string())
        }
        None => stamp.to_owned(),
    }
}

/// Today by this machine's clock and time zone, ISO 8601.
pub fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

/// A share of 1 as whole percent: `0.644` gives `64 %`. Shares that are not quite none or not
/// quite all never round to `0 %` or `100 %`.
pub fn percent(share: f64) -> String {
    if !share.is_finite() {
        return "not known".to_owned();
    }
    let whole = (share * 100.0).round();
    if whole <= 0.0 && share > 0.0 {
        "under 1 %".to_owned()
    } else if whole >= 100.0 && share < 1.0 {
        "over 99 %".to_owned()
    } else {
        format!("{whole:.0} %")
    }
}

/// A number with two significant digits and no exponent, whole from 10 up: `0.0432` gives
/// `0.043`, `3.21` gives `3.2`, `0.999` gives `1.0`, `123.4` gives `123`.
pub fn digits(value: f64) -> String {
    if !value.is_finite() {
        return "not known".to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let places = |v: f64| -> usize {
        let magnitude = v.abs().log10().floor();
        // Below a millionth nothing here can mean anything.
        if magnitude >= 1.0 {
            0
        } else {
            (1.0 - magnitude).min(6.0) as usize
        }
    };
    // Rounding may lift 9.96 to 10.0: then one place fewer is right.
    let first = format!("{value:.*}", places(value));
    match first.parse::<f64>() {
        Ok(rounded) if rounded != 0.0 => format!("{value:.*}", places(rounded)),
        _ => first,
    }
}

/// A density in plants per square metre, from plants per square metre: `3.2 plants/m²`.
pub fn plants_per_m2(per_m2: f64) -> String {
    format!("{} plants/m²", digits(per_m2))
}

/// A density in plants per square foot, from plants per square metre: `0.30 plants/ft²`.
pub fn plants_per_ft2(per_m2: f64) -> String {
    format!("{} plants/ft²", digits(per_m2 * M2_PER_FT2))
}

/// A density in both units, from plants per square metre: `3.2 plants/m² (0.30 plants/ft²)`.
pub fn plants_per_area(per_m2: f64) -> String {
    format!("{} ({})", plants_per_m2(per_m2), plants_per_ft2(per_m2))
}

/// An area in both units, from square metres: `0.25 m² (2.7 ft²)`.
pub fn area(m2: f64) -> String {
    format!("{} m² ({} ft²)", plain(m2), digits(m2 / M2_PER_FT2))
}

/// A number as a person would type it: at most four decimals, no zeros at the end.
pub fn plain(value: f64) -> String {
    let text = format!("{value:.4}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// `1 plant`, `3 plants`: a number with its noun, which takes an `s`.
pub fn number_of(n: usize, noun: &str) -> String {
    match n {
        1 => format!("1 {noun}"),
        n => format!("{n} {noun}s"),
    }
}

/// What an outcome of the engine is called, from its id; an unknown id comes back as it is.
pub fn outcome_words(id: &str) -> String {
    match id {
        "settled" | "leaning" => id.to_owned(),
        "split_between" => "split between".to_owned(),
        "not_in_this_key" => "not in this key".to_owned(),
        "too_little_seen" => "too little seen".to_owned(),
        other => other.to_owned(),
    }
}

/// What a planting is for.
pub fn purpose_words(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Forage => "grazing or hay",
        Purpose::Biomass => "biomass",
        Purpose::Conservation => "conservation cover",
        Purpose::Wildlife => "wildlife habitat",
    }
}

/// How and when a planting was sown, such as `drilled on 12 May 2026, rows 19 cm (7.5 in) apart`.
pub fn sowing_words(planting: &Entry<Planting>) -> String {
    let on = date_words(&planting.body.seeded_on);
    match planting.body.method {
        SeedingMethod::Drilled { row_spacing_cm } => format!(
            "drilled on {on}, rows {} cm ({} in) apart",
            plain(row_spacing_cm),
            plain((row_spacing_cm / CM_PER_INCH * 10.0).round() / 10.0)
        ),
        SeedingMethod::Broadcast => format!("broadcast on {on}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_read_like_dates() {
        assert_eq!(date_words("2026-07-14"), "14 July 2026");
        assert_eq!(date_words("2024-02-29"), "29 February 2024");
        assert_eq!(date_words("2026-12-01"), "1 December 2026");
        assert_eq!(date_words("soon"), "soon");
        assert_eq!(instant_words("soon"), "soon");
    }

    #[test]
    fn percent_does_not_turn_some_into_none_or_all() {
        assert_eq!(percent(0.644), "64 %");
        assert_eq!(percent(0.0), "0 %");
        assert_eq!(percent(1.0), "100 %");
        assert_eq!(percent(0.004), "under 1 %");
        assert_eq!(percent(0.998), "over 99 %");
        assert_eq!(percent(f64::NAN), "not known");
    }

    #[test]
    fn two_digits_are_enough() {
        for (value, text) in [
            (0.0, "0"),
            (0.0432, "0.043"),
            (0.999, "1.0"),
            (3.21, "3.2"),
            (9.96, "10"),
            (12.0, "12"),
            (123.4, "123"),
            (f64::INFINITY, "not known"),
        ] {
            assert_eq!(digits(value), text, "{value}");
        }
    }

    /// 1 ft2 = 0.09290304 m2 (NIST Special Publication 811, appendix B; memory).
    #[test]
    fn densities_in_both_units() {
        assert!((M2_PER_FT2 - 0.092_903_04).abs() < 1e-12);
        // One plant a square foot is 10.76 a square metre: a figure practitioners know.
        assert_eq!(plants_per_area(10.764), "11 plants/m² (1.0 plants/ft²)");
        assert_eq!(area(0.25), "0.25 m² (2.7 ft²)");
        assert_eq!(plain(19.05), "19.05");
        assert_eq!(plain(100.0), "100");
    }
}
