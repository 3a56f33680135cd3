//! `standbook identify` on files that can't be taken: every fault at once, with line and
//! column, exit code 1, and nothing on standard output.

use crate::identify_names::identify;
use crate::program::{key_folder, run};

/// The file must be refused with these places, one line each, in this order. A place is
/// `line: column n`; what follows must contain the words.
#[track_caller]
fn refused(file: &[u8], wanted: &[(&str, &str)]) {
    let said = identify(file);
    assert_eq!((said.code, said.out.as_str()), (1, ""), "{}", said.err);
    let faults: Vec<&str> = said
        .err
        .lines()
        .filter(|l| l.contains("OBS.csv:"))
        .collect();
    assert_eq!(faults.len(), wanted.len(), "{}", said.err);
    for (fault, (place, words)) in faults.iter().zip(wanted) {
        let (_, told) = fault.split_once("OBS.csv:").unwrap();
        assert!(
            told.starts_with(place) && told.contains(words),
            "wanted {place} ... {words}:\n{fault}"
        );
    }
    assert!(
        said.err.contains(&format!("{} fault(s)", wanted.len())),
        "{}",
        said.err
    );
}

#[test]
fn every_fault_of_a_file_is_told() {
    refused(
        b"case,trait,value\n\
          1,vernation,rolled\n\
          1,vernatoin,rolled\n\
          1,vernation,roled\n\
          2,ligule_length,two\n\
          2,ligule_length,2500\n\
          2,ligule_length,NaN\n\
          2,ligule_length,-1\n\
          3,vernation\n\
          3,vernation,rolled,folded\n\
          3,vernation,\n\
          ,vernation,rolled\n\
          4,vernation,rolled|roled\n\
          4,ligule_length,1e400\n",
        &[
            ("3: column 2", "did you mean `vernation`"),
            ("4: column 3", "did you mean `rolled`"),
            ("5: column 3", "not a number"),
            ("6: column 3", "check the unit"),
            ("7: column 3", ""),
            ("8: column 3", "check the unit"),
            ("9: column", "2 column(s), not 3"),
            ("10: column 3", "4 column(s), not 3"),
            ("11: column 3", "no value"),
            ("12: column 1", "empty"),
            ("13: column 3", "`roled`"),
            ("14: column 3", ""),
        ],
    );
}

#[test]
fn a_wrong_header() {
    refused(
        b"plant,trait,value\n1,vernation,rolled\n",
        &[("1: column 1", "write `case,trait,value`")],
    );
    refused(
        b"1,vernation,rolled\n",
        &[("1: column 1", "write `case,trait,value`")],
    );
    refused(
        b"case;trait;value\n1;vernation;rolled\n",
        &[("1: column 1", "write `case,trait,value`")],
    );
}

#[test]
fn a_file_without_observations() {
    refused(b"", &[("1: column 1", "write `case,trait,value`")]);
    refused(b"case,trait,value\n", &[("2: column 1", "no observations")]);
    refused(
        b"\xef\xbb\xbf",
        &[("1: column 1", "write `case,trait,value`")],
    );
}

#[test]
fn bytes_that_are_no_text() {
    refused(
        b"case,trait,value\n1,vernation,rol\xffed\n\xe9,vernation,rolled\n3,odor_or_other,\xff\n",
        &[
            ("2: column 3", "UTF-8"),
            ("3: column 1", "UTF-8"),
            ("4: column 3", "UTF-8"),
        ],
    );
}

/// An editor counts these lines so; the reader must, too.
#[test]
fn lines_are_counted_as_an_editor_does() {
    refused(
        b"case,trait,value\r\n1,vernation,rolled\r\n1,vernation,roled\r\n",
        &[("3: column 3", "roled")],
    );
    refused(
        b"case,trait,value\n\n\n1,vernation,roled\n",
        &[("4: column 3", "roled")],
    );
    refused(
        b"case,trait,value\n1,odor_or_other,\"spots\nand oil\"\n1,vernation,roled\n",
        &[("4: column 3", "roled")],
    );
}

#[test]
fn a_file_that_is_not_there() {
    let said = run(&["identify", "--json", "no-such-file.csv"]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err.starts_with("error: ") && said.err.contains("no-such-file.csv"),
        "{}",
        said.err
    );
    assert!(said.err.contains("\n\nhint: "), "{}", said.err);
    let folder = key_folder();
    let said = run(&["identify".as_ref(), "--json".as_ref(), folder.as_os_str()]);
    assert_eq!(
        (said.code, said.out.as_str()),
        (1, ""),
        "a folder is no file: {}",
        said.err
    );
}

#[test]
fn a_leaf_stage_that_there_is_not() {
    let said = run(&["identify", "--leaf-stage", "tall", "no-such-file.csv"]);
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert!(
        said.err
            .contains("one_leaf, few_leaves, tillering or heading"),
        "{}",
        said.err
    );
}
