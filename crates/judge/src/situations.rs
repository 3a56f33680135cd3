//! What holds of the stand, and calls for advice.
//!
//! In: everything said so far. Out: situations, in the order of [`Situation::ALL`].
//! Source: each piece of advice carries its own; what a situation means stands with it.

use standbook_key::standards::{Purpose, Situation};

use crate::case::{Case, Happened};
use crate::judgement::{Because, Fairness, Firmness, Overall, Season, Verdict, Weeds, When};
use crate::overall::Found;

/// Leaves of the planted grass that sources wait for before a broadleaf treatment is thought
/// of: four (Miller Seed, Stock Seed Farms), four to five (biomass book), three to four
/// (Millborn Seeds).
const LEAVES: u32 = 4;

pub(crate) fn situations(
    case: &Case,
    season: &Season,
    fairness: &Fairness,
    verdict: &Overall,
    found: &Found,
    weeds: &Weeds,
) -> Vec<Situation> {
    let holds = |situation: Situation| -> bool {
        let first = season.number <= 1;
        let emerged = fairness.when >= When::Early;
        let kept = verdict.firmness != Firmness::Withheld;
        let any_weeds =
            !(weeds.perennial.is_empty() && weeds.annual.is_empty() && weeds.other.is_empty());
        let noxious =
            |list: &[crate::judgement::WeedFound]| list.iter().any(|weed| !weed.noxious.is_empty());
        let happened = |is: fn(&Happened) -> bool| {
            case.events.iter().any(|event| {
                is(&event.what) && event.on >= case.seeded_on && event.on <= case.visited_on
            })
        };
        match situation {
            Situation::Established => verdict.verdict == Verdict::Established,
            Situation::EnoughSoFar => {
                verdict.firmness == Firmness::Provisional && verdict.verdict == Verdict::Established
            }
            Situation::Below => verdict.verdict == Verdict::Below,
            Situation::NotDecided => found.laid && verdict.verdict == Verdict::NotDecided,
            Situation::BeforeEmergence => fairness.when == When::BeforeEmergence,
            Situation::BeforeFairDate => fairness.when < When::Fair,
            Situation::NothingFound => found.laid && !found.planted && !found.unsettled,
            Situation::FewFirstSeason => {
                first && emerged && found.laid && verdict.so_far == Verdict::Below
            }
            Situation::BelowLaterSeason => !first && verdict.verdict == Verdict::Below,
            Situation::AnnualWeeds => !weeds.annual.is_empty(),
            Situation::PerennialWeeds => !weeds.perennial.is_empty(),
            Situation::PerennialTakeover => emerged && weeds.takeover,
            Situation::NoxiousListed => [&weeds.perennial, &weeds.annual, &weeds.other]
                .into_iter()
                .any(|l| noxious(l)),
            Situation::Weeds => any_weeds,
            Situation::UnknownsDecide => kept && verdict.because == Because::Unknowns,
            Situation::MoreSpots => kept && verdict.because == Because::Straddles,
            Situation::SourcesDisagree => !verdict.disagreements.is_empty(),
            Situation::ConversionsDisagree => verdict.because == Because::ConversionsDisagree,
            Situation::TooFewLeaves => case.leaves.is_some_and(|leaves| leaves.fewest < LEAVES),
            Situation::LeavesNotKnown => case.leaves.is_none(),
            Situation::Sprayed => happened(|what| matches!(what, Happened::Sprayed { .. })),
            Situation::Mown => happened(|what| matches!(what, Happened::Mowed { .. })),
            Situation::Drought => happened(|what| matches!(what, Happened::Drought)),
            Situation::Grazed => happened(|what| matches!(what, Happened::Grazed)),
            Situation::DenseForWildlife => {
                case.purpose == Purpose::Wildlife && verdict.verdict == Verdict::Established
            }
            Situation::ForbsSown => case.forbs_sown == Some(true),
            Situation::FirstSeason => first,
            Situation::LaterSeason => !first,
            Situation::LateOrDormant => season.late_or_dormant,
            Situation::Always => true,
        }
    };
    let all = Situation::ALL.iter().map(|(_, situation)| *situation);
    all.filter(|situation| holds(*situation)).collect()
}
