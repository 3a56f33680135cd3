//! What those who counted called specimens of known name in practice.
//!
//! In: a planting whose rule asks for it, the frames of a visit. Out: right and wrong answers of the
//! scouts who counted, for a correction that is shown beside the count where no plants were drawn.
//!
//! What counts: plants that they were asked to name in the year before the end of the visit's day, by
//! drawing or photo, with the book open only where the rule says so. Could not tell is left out, as an
//! unknown is. Cells of drawn frames are left out: they repeat a few kinds. All answers of all who
//! counted go together, each alike.

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::Visit;
use standbook_judge::Specimens;
use standbook_practice::skill::From;
use standbook_stand::misnaming::Checked;

use super::numbers::Walked;
use crate::app::App;
use crate::failure::Failure;
use crate::practice::standing::{ForCounting, end_of, mix_of, of_scouts};

/// Answers older than this say little of this season; a choice.
const DAYS: f64 = 365.0;

/// What is known; `None` where nobody asked for it, or none of those who counted has practised.
pub(super) fn read(
    app: &App,
    walked: &Walked,
    visit: &Entry<Visit>,
) -> Result<Option<Specimens>, Failure> {
    let rule = ForCounting::of(app, walked.planting.id)?;
    let Some(rule) = rule.filter(|rule| rule.own_rates) else {
        return Ok(None);
    };
    let mix = mix_of(&walked.planting.body);
    let day = end_of(&visit.body.on);
    let names = walked.frames.iter().map(|(_, it)| it.body.scout.as_str());
    let scouts = of_scouts(app, &walked.planting, names)?;
    let mut specimens = Specimens {
        planted: Checked::default(),
        other: Checked::default(),
        scouts: 0,
        of_scouts: scouts.len(),
    };
    for scout in &scouts {
        let asked = scout.history.names.iter().filter(|it| {
            let fresh = it.day <= day && it.day > day - DAYS;
            fresh && it.from != From::Field && rule.counts(it.from)
        });
        let mut any = false;
        for it in asked {
            let Some(called) = &it.called else {
                continue;
            };
            any = true;
            let (is, said) = (mix.contains(&it.truth), mix.contains(called));
            let kind = match is {
                true => &mut specimens.planted,
                false => &mut specimens.other,
            };
            kind.of += 1;
            kind.right += u64::from(is == said);
        }
        specimens.scouts += usize::from(any);
    }
    Ok((specimens.scouts > 0).then_some(specimens))
}
