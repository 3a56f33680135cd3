//! A planting with an outline, and the requests that make one.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;

use crate::desk_support::{Answer, Sample};

/// A field near 40 N 96 W, about 412 x 555 m.
pub const CORNERS: &str = "40.000, -96.000\n40.000, -95.995\n40.005, -95.995\n40.005, -96.000";

/// Types an outline as a browser sends it.
pub async fn type_outline(
    sample: &Sample,
    id: RecordId,
    of: &str,
    name: &str,
    corners: &str,
) -> Answer {
    let to = format!("/planting/{}/outline", sample.planting);
    let id = id.to_string();
    sample
        .post(
            &to,
            &[
                ("id", id.as_str()),
                ("of", of),
                ("name", name),
                ("origin", ""),
                ("corners", corners),
                ("scout", "A. Fenn"),
            ],
        )
        .await
}

/// An empty book whose planting has the outline [`CORNERS`].
pub async fn with_field() -> Sample {
    let sample = Sample::empty();
    let answer = type_outline(&sample, RecordId::new(), "field", "", CORNERS).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
}
