//! What was kept of plants, and plants to come back to. Invented like the rest.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Body, ComeBack, ComeBackReason, Preparation, Voucher};

use super::draw::Draw;
use super::scenario::SCOUTS;

/// A specimen of the scenario: which of the walked plants, which scout collected it, number, what was
/// collected, where it is.
const SPECIMENS: [(usize, usize, &str, &str, &str); 3] = [
    (
        3,
        0,
        "41",
        "two whole plants with roots and seed",
        "office press",
    ),
    (17, 1, "AP-7", "one tiller with its base", "office press"),
    (
        40,
        0,
        "42",
        "three seedlings, roots washed",
        "Hollis County extension office (invented)",
    ),
];

impl Draw<'_> {
    /// The evening after the review: three specimens of plants, one of an unknown, three flags.
    pub(super) fn kept(&mut self, walked: &[(RecordId, String)], unknowns: &[(RecordId, String)]) {
        for (at, scout, number, parts, kept_at) in SPECIMENS {
            if let Some((about, _)) = walked.get(at) {
                self.specimen(*about, SCOUTS[scout], number, parts, kept_at);
            }
        }
        if let Some((about, _)) = unknowns.first() {
            self.specimen(*about, SCOUTS[0], "43", "one plant with its runner", "");
            self.flag(
                *about,
                "2026-08-15",
                ComeBackReason::Heading,
                "orange flag, a step north of the frame",
            );
        }
        if let Some((about, _)) = unknowns.get(1) {
            self.flag(*about, "2026-08-15", ComeBackReason::Heading, "orange flag");
        }
        if let Some((about, _)) = walked.get(3) {
            self.flag(
                *about,
                "2027-06-01",
                ComeBackReason::GreenUp,
                "nail with a washer in the row, painted white",
            );
        }
    }

    fn specimen(&mut self, about: RecordId, scout: &str, number: &str, parts: &str, kept_at: &str) {
        self.keep(
            scout,
            Body::Voucher(Voucher {
                about,
                collector: scout.to_owned(),
                number: number.to_owned(),
                collected_on: "2026-07-14".to_owned(),
                preparation: Preparation::Pressed,
                parts: parts.to_owned(),
                kept_at: kept_at.to_owned(),
                habitat: "Native grass planting in its first summer, drilled into soybean stubble; silt loam, mown to 20 cm three weeks before.".to_owned(),
                associates: "Setaria viridis, Digitaria ischaemum".to_owned(),
                habit: "single tiller".to_owned(),
                abundance: "scattered over the plot".to_owned(),
                fading: "base red-purple when fresh".to_owned(),
            }),
        );
    }

    fn flag(&mut self, about: RecordId, due_on: &str, reason: ComeBackReason, pin: &str) {
        self.keep(
            SCOUTS[1],
            Body::ComeBack(ComeBack {
                about,
                due_on: due_on.to_owned(),
                reason,
                pin: pin.to_owned(),
                position: None,
                seen_on: None,
                found: String::new(),
            }),
        );
    }
}
