//! Lengths in a photo, by a known length in it.
//!
//! In: places that were pressed, in pixels of the upright picture, and how long the first two are apart, in
//! mm. Out: the length between the next two, how far off it may be, a scale bar.
//! A picture has one scale only for what lies flat in one plane, square to the camera; the page says so.
//! Kept nowhere: the book has no record for it, so it lives in the page's address.

use std::fmt;

use standbook_plan::round_down;

/// Places: two for the known length, two for what is measured.
pub(super) const MOST_PLACES: usize = 4;

/// Longest known length, mm: ten metres are beyond any picture of a seedling.
pub(super) const MOST_MM: f64 = 10_000.0;

/// How far from the place meant a press lands, points on the screen, one side (memory).
const PRESS_POINTS: f64 = 3.0;

/// Nearest that two ends of a known length may be, points on the screen: nearer, the presses' own error is
/// a fifth of it and more.
const NEAREST_POINTS: f64 = 20.0;

/// What was pressed so far.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Marks {
    /// In pixels of the upright picture, from its upper left corner.
    pub places: Vec<[f64; 2]>,
    /// How long the first two are apart, mm.
    pub mm: Option<f64>,
}

/// A length that was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Length {
    /// mm.
    pub mm: f64,
    /// How far off it may be by the presses alone, mm.
    pub off_mm: f64,
}

/// A bar of a round length.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bar {
    /// `10 mm`.
    pub words: String,
    /// How long it is, pixels of the picture.
    pub px: f64,
}

/// Places as they stand in an address: `120.0x30.5-140.0x60.0`.
impl fmt::Display for Marks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = self.places.iter().map(|[x, y]| format!("{x:.1}x{y:.1}"));
        f.write_str(&places.collect::<Vec<_>>().join("-"))
    }
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

impl Marks {
    /// Reads places and a length of an address. `None`: they are none of a picture of this size, pixels.
    pub fn read(places: &str, mm: &str, size: (u32, u32)) -> Option<Marks> {
        let (width, height) = (f64::from(size.0), f64::from(size.1));
        let place = |text: &str| {
            let (x, y) = text.split_once('x')?;
            let (x, y): (f64, f64) = (x.parse().ok()?, y.parse().ok()?);
            let inside = (0.0..=width).contains(&x) && (0.0..=height).contains(&y);
            inside.then_some([x, y])
        };
        let places: Vec<[f64; 2]> = match places {
            "" => Vec::new(),
            text => text.split('-').map(place).collect::<Option<_>>()?,
        };
        let mm = match mm {
            "" => None,
            text => Some(text.parse().ok().filter(|mm| is_length(*mm))?),
        };
        (places.len() <= MOST_PLACES).then_some(Marks { places, mm })
    }

    /// The same with one more place. A fifth begins a new measurement by the same known length.
    pub fn press(&mut self, place: [f64; 2]) {
        if self.places.len() >= MOST_PLACES {
            self.places.truncate(2);
        }
        self.places.push(place);
    }

    /// The two ends of the known length, when both were pressed.
    pub fn known(&self) -> Option<[[f64; 2]; 2]> {
        Some([*self.places.first()?, *self.places.get(1)?])
    }

    /// The two ends of what is measured, when both were pressed.
    pub fn measured(&self) -> Option<[[f64; 2]; 2]> {
        Some([*self.places.get(2)?, *self.places.get(3)?])
    }

    /// Whether the ends of the known length are too near for a scale. `shown`: points on the screen for a
    /// pixel of the picture.
    pub fn too_near(&self, shown: f64) -> bool {
        self.known()
            .is_some_and(|[a, b]| apart(a, b) * shown < NEAREST_POINTS)
    }

    fn px_per_mm(&self) -> Option<f64> {
        let [a, b] = self.known()?;
        let scale = apart(a, b) / self.mm?;
        (scale.is_finite() && scale > 0.0).then_some(scale)
    }

    /// The length measured, and how far off it may be: two presses for each length, independent of each
    /// other.
    pub fn length(&self, shown: f64) -> Option<Length> {
        let scale = self.px_per_mm()?;
        let ([a, b], [c, d]) = (self.known()?, self.measured()?);
        let mm = apart(c, d) / scale;
        let ends = PRESS_POINTS * std::f64::consts::SQRT_2 / shown;
        let off_mm = (ends / scale).hypot(mm * ends / apart(a, b));
        Some(Length { mm, off_mm })
    }

    /// A bar for a picture of this width, pixels: about a third of it.
    pub fn bar(&self, width: u32) -> Option<Bar> {
        let scale = self.px_per_mm()?;
        let mm = round_down(f64::from(width) / 3.0 / scale);
        Some(Bar {
            words: format!("{mm} mm"),
            px: mm * scale,
        })
    }
}

/// Whether this can be a known length, mm.
pub(super) fn is_length(mm: f64) -> bool {
    mm > 0.0 && mm <= MOST_MM
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const SIZE: (u32, u32) = (4000, 3000);

    /// A 3-4-5 triangle: 500 px stand for 50 mm, so 5, 12, 13 hundreds of px are 130 mm.
    #[test]
    fn a_length_is_what_the_ruler_beside_it_says() {
        let marks = Marks::read("0x0-300x400-1000x1000-1500x2200", "50", SIZE).unwrap();
        let length = marks.length(1.0).unwrap();
        assert!((length.mm - 130.0).abs() < 1e-9, "{length:?}");
        // Ends 3 points off on either side: 4.24 px; of 500 px that is 0.85 %, of 1300 px 0.33 %.
        assert!((length.off_mm - 1.182).abs() < 0.001, "{length:?}");
        // At four times the size on the screen a press is four times as good.
        let near = marks.length(4.0).unwrap();
        assert!((near.off_mm * 4.0 - length.off_mm).abs() < 1e-9);
        assert_eq!(marks.bar(4000).unwrap().words, "100 mm");
        assert!((marks.bar(4000).unwrap().px - 1000.0).abs() < 1e-9);
    }

    #[test]
    fn places_are_kept_as_they_stand_in_the_address() {
        let text = "12.5x30.0-300.0x400.0";
        let mut marks = Marks::read(text, "", SIZE).unwrap();
        assert_eq!(marks.to_string(), text);
        assert!(marks.length(1.0).is_none() && marks.bar(4000).is_none());
        for x in [1.0, 2.0, 3.0] {
            marks.press([x, 0.0]);
        }
        assert_eq!(marks.to_string(), format!("{text}-3.0x0.0"));
    }

    #[test]
    fn what_is_no_place_of_the_picture_is_refused() {
        for (places, mm) in [
            ("4001x1", ""),
            ("-1x1", ""),
            ("NaNx1", ""),
            ("1e999x1", ""),
            ("1x1-", ""),
            ("1", ""),
            ("1x1-1x1-1x1-1x1-1x1", ""),
            ("1x1-2x2", "0"),
            ("1x1-2x2", "inf"),
            ("1x1-2x2", "-3"),
            ("1x1-2x2", "10001"),
        ] {
            assert_eq!(Marks::read(places, mm, SIZE), None, "{places} {mm}");
        }
    }

    #[test]
    fn ends_at_one_spot_are_no_scale() {
        let marks = Marks::read("5x5-5x5-1x1-2x2", "10", SIZE).unwrap();
        assert!(marks.too_near(1.0));
        assert_eq!((marks.length(1.0), marks.bar(4000)), (None, None));
        let marks = Marks::read("0x0-19x0", "10", SIZE).unwrap();
        assert!(marks.too_near(1.0) && !marks.too_near(2.0));
    }
}
