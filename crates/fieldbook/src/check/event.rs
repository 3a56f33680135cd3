//! Rules of events by themselves.
//!
//! Not here: whether an event was before the seeding; site preparation is.

use super::{Faults, limits};
use crate::record::{Event, EventKind};

pub(super) fn event(faults: &mut Faults, event: &Event) {
    faults.date("on", &event.on);
    match event.what {
        EventKind::Mowed { height_cm } => {
            if let Some(height) = height_cm {
                faults.above_zero("what.height_cm", height, limits::MOWED_CM, "cm");
            }
        }
        EventKind::Sprayed {
            entry_after_h,
            graze_after_days,
        } => {
            if let Some(hours) = entry_after_h {
                faults.not_negative("what.entry_after_h", hours, limits::ENTRY_AFTER_H, "hours");
            }
            if let Some(days) = graze_after_days {
                let field = "what.graze_after_days";
                faults.not_negative(field, days, limits::GRAZE_AFTER_DAYS, "days");
            }
        }
        EventKind::Rain { mm } => {
            if let Some(mm) = mm {
                faults.above_zero("what.mm", mm, limits::RAIN_MM, "mm");
            }
        }
        EventKind::Drought | EventKind::Grazed | EventKind::Burned | EventKind::Overseeded => {}
        EventKind::Other => {
            if event.note.trim().is_empty() {
                faults.add(
                    "note",
                    "nothing says what happened",
                    "Say it in words, or choose what it was.",
                );
            }
        }
    }
    faults.note("note", &event.note);
}
