//! The state of a drawing, which lives in the address until it is saved.
//!
//! In: the fields of a request. Out: the middle, the width, the corners so far, and what is asked
//! to be done next. Nothing is kept between requests, so that the back button takes a step back.
//! Units: presses in pixels of a picture [`SIDE`] wide and high; corners in m east and north of
//! the middle; degrees WGS 84 for the middle.
//! Not here: pages and pictures (`sketch`).

use standbook_plan::{Corner, Frame, Polygon, corner_to_text, corners_from_text};

use super::measures::metres;
use crate::form::Form;

/// Side of the picture, pixels. It is never scaled, or presses would miss; 320 is the room on the
/// narrowest phones in use (360 wide).
pub(super) const SIDE: f64 = 320.0;
/// Widths on the ground to choose from, m.
pub(super) const ACROSS: [u32; 5] = [100, 250, 500, 1000, 2000];
/// Most corners by hand; their text must fit into an address.
pub(super) const MOST: usize = 100;
/// Farthest a corner may lie from the middle, m.
const FARTHEST_M: f64 = 20_000.0;

/// What the address says.
#[derive(Debug)]
pub(super) struct Sketch {
    /// Degrees of the middle, if it can be read.
    pub middle: Option<Corner>,
    /// Width on the ground, m.
    pub across_m: f64,
    /// m east and north of the middle.
    pub corners: Vec<[f64; 2]>,
    /// Whether something was done, so that the address must change.
    pub changed: bool,
    /// What could not be done: field and message.
    pub troubles: Vec<(&'static str, String)>,
}

impl Sketch {
    /// Reads the fields and does what they ask for.
    pub fn read(query: &Form) -> Sketch {
        let number = |name: &str| {
            query
                .get(name)
                .parse::<f64>()
                .ok()
                .filter(|x| x.is_finite())
        };
        let mut troubles = Vec::new();
        let middle = match query.get("middle") {
            "" => None,
            text => match corners_from_text(text) {
                Ok(corners) => corners.first().copied(),
                Err(faults) => {
                    for fault in faults.0 {
                        troubles.push(("middle", format!("Middle: {}.", fault.problem)));
                    }
                    None
                }
            },
        };
        let mut sketch = Sketch {
            middle,
            across_m: number("across")
                .filter(|m| ACROSS.iter().any(|known| f64::from(*known) == *m))
                .unwrap_or(500.0),
            corners: query.all("c").filter_map(pair).take(MOST).collect(),
            changed: false,
            troubles,
        };
        if query.has("undo") {
            sketch.corners.pop();
            sketch.changed = true;
        } else if query.has("add") {
            sketch.add_typed(query.get("east"), query.get("north"));
        } else if let (Some(x), Some(y)) = (number("at.x"), number("at.y")) {
            sketch.press(x, y);
        }
        sketch
    }

    fn press(&mut self, x: f64, y: f64) {
        // Browsers send 0, 0 when the picture is pressed with a key: no place was meant.
        if x == 0.0 && y == 0.0 {
            self.troubles.push((
                "east",
                "A key press on the picture says no place. Type the corner in metres below."
                    .to_owned(),
            ));
            return;
        }
        let m = self.across_m / SIDE;
        self.add([(x - SIDE / 2.0) * m, (SIDE / 2.0 - y) * m]);
    }

    fn add_typed(&mut self, east: &str, north: &str) {
        let mut read = |field, name, text: &str| {
            let found = metres(text).filter(|m| m.abs() <= FARTHEST_M);
            if found.is_none() {
                self.troubles.push((field, format!(
                    "{name}: \u{201c}{}\u{201d} is no length up to {FARTHEST_M:.0} m. Type metres such as -120, or feet such as 400 ft.",
                    text.chars().take(30).collect::<String>()
                )));
            }
            found
        };
        let (east, north) = (read("east", "East", east), read("north", "North", north));
        if let (Some(east), Some(north)) = (east, north) {
            self.add([east, north]);
        }
    }

    fn add(&mut self, corner: [f64; 2]) {
        if self.corners.len() >= MOST {
            self.troubles.push(("", format!(
                "{MOST} corners are the most that can be drawn. Take one back, or bring the outline from a file."
            )));
            return;
        }
        // A decimetre is finer than any press.
        self.corners.push(corner.map(|m| (m * 10.0).round() / 10.0));
        self.changed = true;
    }

    /// The address of this state, without the question mark.
    pub fn query(&self) -> String {
        let mut address = form_urlencoded::Serializer::new(String::new());
        if let Some(middle) = self.middle {
            address.append_pair("middle", &corner_to_text(middle));
        }
        address.append_pair("across", &self.across_m.to_string());
        for [east, north] in &self.corners {
            address.append_pair("c", &format!("{east},{north}"));
        }
        address.finish()
    }

    /// Corners in degrees; none without a middle.
    pub fn degrees(&self) -> Vec<Corner> {
        let Some(frame) = self.middle.map(Frame::at) else {
            return Vec::new();
        };
        self.corners.iter().map(|m| frame.to_corner(*m)).collect()
    }

    /// The outline drawn so far; closed by itself.
    pub fn polygon(&self) -> Polygon {
        Polygon::from_rings(vec![self.degrees()])
    }

    /// Where a corner stands in the picture.
    pub fn xy(&self, [east, north]: [f64; 2]) -> [f64; 2] {
        let per_m = SIDE / self.across_m;
        [SIDE / 2.0 + east * per_m, SIDE / 2.0 - north * per_m]
    }
}

fn pair(text: &str) -> Option<[f64; 2]> {
    let (east, north) = text.split_once(',')?;
    let pair: [f64; 2] = [east.trim().parse().ok()?, north.trim().parse().ok()?];
    pair.iter().all(|m| m.abs() <= FARTHEST_M).then_some(pair)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn read(query: &str) -> Sketch {
        Sketch::read(&Form::parse(query.as_bytes()).unwrap())
    }

    #[test]
    fn the_upper_right_corner_is_half_the_width_east_and_north() {
        let sketch = read("middle=40,-96&across=500&at.x=320&at.y=0");
        assert_eq!(sketch.corners, [[250.0, 250.0]]);
        // And the picture puts it back where it was pressed.
        assert_eq!(sketch.xy([250.0, 250.0]), [320.0, 0.0]);
    }

    #[test]
    fn a_key_press_adds_nothing_and_says_what_to_do() {
        let sketch = read("middle=40,-96&across=500&at.x=0&at.y=0");
        assert!(sketch.corners.is_empty() && !sketch.changed);
        assert_eq!(sketch.troubles[0].0, "east");
    }

    #[test]
    fn typed_corners_may_be_in_feet_and_wrong_ones_are_named() {
        let sketch = read("middle=40,-96&add=1&east=-1000+ft&north=20");
        assert_eq!(sketch.corners, [[-304.8, 20.0]]);
        let sketch = read("middle=40,-96&c=1,2&add=1&east=far&north=20");
        assert_eq!(sketch.corners, [[1.0, 2.0]]);
        assert!(sketch.troubles[0].1.contains("far"));
    }

    #[test]
    fn an_address_full_of_corners_stays_within_what_is_taken() {
        let many: String = (0..500).map(|n| format!("&c={n},{n}")).collect();
        let sketch = read(&format!("middle=40,-96{many}&at.x=10&at.y=10"));
        assert_eq!(sketch.corners.len(), MOST);
        assert!(sketch.troubles[0].1.contains("most"));
    }
}
