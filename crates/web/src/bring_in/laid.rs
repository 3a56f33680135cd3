//! What was laid, on a form that rarely asks for it.

use crate::count::device::{Device, shape};
use crate::plot::filled::{Filled, Troubles};
use crate::plot::recorded::shape_words;

/// Fields of a device in which something can be wrong.
const FIELDS: [&str; 5] = ["cells", "side", "area", "length", "spacing"];

/// Whether the fields of the device are to be seen: something is wrong with one of them.
pub(super) fn device_in_doubt(filled: &Filled) -> bool {
    FIELDS
        .iter()
        .any(|field| filled.troubles.at(field).is_some())
}

/// What is laid, in words: `25 cells of 15 cm (5.9 in)`.
pub(super) fn laid_words(device: &Device) -> String {
    match shape(device, &mut Troubles::default()) {
        Some(shape) => shape_words(shape),
        None => "say how large it was".to_owned(),
    }
}
