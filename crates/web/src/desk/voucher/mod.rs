//! Specimens: what was kept of a plant, where it is, and labels to print for it.
//!
//! In: a form on a plant's page. Out: `Voucher` records, the list of them, label sheets.
//! `form` is the form, `number` the collector's next number, `kept` what is kept with its plant, `list`
//! the office's list, `label` what stands on a label, `sheet` labels to print.
//! Where a specimen is changes; saying so is a correction.

use axum::Router;
use axum::middleware::from_fn;
use axum::routing::get;

use crate::app::Shared;
use crate::phones::office_only;

pub(crate) mod form;
pub(super) mod kept;
mod label;
mod list;
mod number;
mod sheet;

/// The addresses of this place. A specimen is kept in the field as well; list and labels are the office's.
pub(super) fn routes() -> Router<Shared> {
    let office = Router::new()
        .route("/desk/vouchers", get(list::list))
        .route("/desk/vouchers/labels", get(sheet::sheet))
        .route_layer(from_fn(office_only));
    let form = || get(form::blank).post(form::save);
    Router::new()
        .route("/determinations/{id}/voucher", form())
        .route("/unknowns/{id}/voucher", form())
        .route("/vouchers/{id}/correct", get(form::correct))
        .merge(office)
}
