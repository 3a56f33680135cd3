//! JSON as programs write it: whole numbers stay whole however they are written, and no name stands
//! twice in one object.
//!
//! JSON Schema takes `7.0` for an integer, and spreadsheets and data frames write it so; a field of
//! a record takes only `7`. Of a name that stands twice most readers silently take the last.

use std::fmt;

use serde::Deserialize;
use serde::de::{Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};

/// From here on a number of 8 bytes no longer holds every whole number (2 to the 53rd).
const WHOLE: f64 = 9_007_199_254_740_992.0;

/// A value.
pub(super) struct Plain(pub Value);

impl<'de> Deserialize<'de> for Plain {
    fn deserialize<D: Deserializer<'de>>(reader: D) -> Result<Plain, D::Error> {
        reader.deserialize_any(Reads).map(Plain)
    }
}

struct Reads;

impl<'de> Visitor<'de> for Reads {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        if value.fract() == 0.0 && value.abs() < WHOLE {
            return Ok((value as i64).into());
        }
        let number = Number::from_f64(value);
        let number = number.ok_or_else(|| E::custom("this number is too large"))?;
        Ok(number.into())
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_string<E: Error>(self, value: String) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
        let mut values = Vec::new();
        while let Some(Plain(value)) = list.next_element()? {
            values.push(value);
        }
        Ok(values.into())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut object: A) -> Result<Value, A::Error> {
        let mut values = Map::new();
        while let Some(name) = object.next_key::<String>()? {
            let Plain(value) = object.next_value()?;
            if values.contains_key(&name) {
                let name: String = name.chars().take(40).collect();
                return Err(A::Error::custom(format!("`{name}` stands there twice")));
            }
            values.insert(name, value);
        }
        Ok(values.into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Value, String> {
        let plain: Result<Plain, _> = serde_json::from_str(text);
        plain.map(|it| it.0).map_err(|error| error.to_string())
    }

    #[test]
    fn whole_numbers_are_whole_however_written() {
        for (written, read_as) in [
            ("7.0", "7"),
            ("7e0", "7"),
            ("-3.0", "-3"),
            ("7.5", "7.5"),
            ("1e300", "1e300"),
            ("18446744073709551615", "18446744073709551615"),
            (
                "[1.0,{\"a\":null,\"b\":[true,\"2.0\"]}]",
                "[1,{\"a\":null,\"b\":[true,\"2.0\"]}]",
            ),
        ] {
            let expected: Value = serde_json::from_str(read_as).expect("JSON");
            assert_eq!(read(written), Ok(expected), "{written}");
        }
    }

    #[test]
    fn a_name_that_stands_twice_is_no_slip_to_guess_at() {
        let error = read("{\"a\":1,\"b\":{\"c\":1,\"c\":2}}").expect_err("twice");
        assert!(error.contains("`c` stands there twice"), "{error}");
        assert!(read("{\"a\":{\"c\":1},\"b\":{\"c\":1}}").is_ok());
    }
}
