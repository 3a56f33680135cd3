//! JSON for programs: every address answers in the form that the OpenAPI document gives; records
//! sent pass the same rules as the pages' forms; what is refused says where and how to mend it.
//!
//! The forms are judged by the crate `jsonschema`, which is not what wrote them.

mod forms;
mod keeping;
mod reading;
mod refusing;
mod support;
