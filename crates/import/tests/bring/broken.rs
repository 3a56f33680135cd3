//! Bytes that are no such file: never a panic, never half a file.

use proptest::prelude::*;
use standbook_import::bring::{What, keep};

use crate::support::*;

const POINTS: &str = "label,latitude,longitude,uncertainty_m,plot\n1,40.11,-96.51,3,North strip\n2,40.111,-96.512,,\"South strip\"\n";
const FRAMES: &str = "point,frame,cell,taxon,date,description\n1,1,3,switchgrass,2026-07-14,\n1,2,3,unknown 1,,\"hairy, flat\"\n2,1,,,,\n";
const PLANTS: &str = "point,leaf_stage,cell,taxon,ligule_type,note\n1,tillering,3,switchgrass,hairs,\"a, b\"\n2,few_leaves,,,cannot_tell,\n";

#[test]
fn random_bytes_and_spoilt_files_are_refused_or_read_whole() {
    let sample = Sample::with_points(2);
    let strategy = (
        0..3_usize,
        proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..3_u8), 0..12),
        any::<prop::sample::Index>(),
        any::<bool>(),
        proptest::collection::vec(any::<u8>(), 0..200),
        0..8_u8,
    );
    let mut config = ProptestConfig::with_cases(400);
    config.failure_persistence = None;
    proptest!(config, |((kind, spoils, cut, is_cut, noise, how) in strategy)| {
        let (_, what) = What::ALL[kind];
        let mut bytes = match how {
            0 => noise,
            _ => [POINTS, FRAMES, PLANTS][kind].as_bytes().to_vec(),
        };
        for (at, byte, how) in spoils {
            if bytes.is_empty() {
                break;
            }
            let at = at.index(bytes.len());
            match how {
                0 => bytes[at] = byte,
                1 => { bytes.remove(at); }
                _ => bytes.insert(at, byte),
            }
        }
        if is_cut && !bytes.is_empty() {
            bytes.truncate(cut.index(bytes.len()));
        }
        let before = sample.count();
        let mut asked = said(what);
        asked.make_missing = how % 2 == 0;
        let looked = sample.looked_as(&asked, &bytes);
        prop_assert_eq!(sample.count(), before, "looking writes nothing");
        let kept = keep(&sample.book, &looked).unwrap();
        prop_assert_eq!(sample.count(), before + kept);
        prop_assert!(looked.faults.is_empty() || kept == 0);
        // What was kept is known when it comes again.
        if kept > 0 {
            prop_assert_eq!(sample.looked_as(&asked, &bytes).new, 0);
        }
    });
}

#[test]
fn a_quotation_mark_that_never_closes_is_told_where_it_opens() {
    let sample = Sample::with_points(1);
    let mut text = POINTS.replace("\"South strip\"", "\"South strip");
    text.push_str(&"3,40.11,-96.51,,North strip\n".repeat(400));
    one_fault(
        &sample.faults(What::Points, &text),
        &["line 3, column 5", "a quotation mark opens here"],
    );
}
