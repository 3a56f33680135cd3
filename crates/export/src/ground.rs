//! Outlines that leave, checked, with what they enclose and what people call that.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::OutlineOf;
use standbook_plan::{Area, Polygon};

use crate::error::Done;
use crate::leaving::{Field, Leaving};

/// An outline.
pub(crate) struct Lot<'a> {
    pub field: &'a Field,
    pub root: RecordId,
    /// `field`, `plot` or `keep out`.
    pub role: &'static str,
    /// What people call what lies inside; may be empty.
    pub name: String,
    pub area: Area,
}

impl Leaving<'_> {
    /// The outlines that leave. One that another program wrote crossed is no outline to anybody.
    pub fn each_lot(&self, mut take: impl FnMut(&Lot) -> Done) -> Done {
        self.each_outline(|field, outline| {
            let body = outline.entry.body;
            let polygons = body.polygons.into_iter();
            let polygons = polygons.map(|polygon| Polygon::from_rings(polygon.rings));
            let Ok(area) = Area::new(polygons.collect()) else {
                self.warn(format!(
                    "The outline {} crosses itself and stayed here. Draw it again.",
                    outline.root
                ));
                return Ok(());
            };
            let (role, name) = match body.of {
                OutlineOf::Field => ("field", field.planting.body.name.clone()),
                OutlineOf::KeepOut => ("keep out", body.name),
                OutlineOf::Plot(plot) => {
                    let plot = self.plots.get(&self.root(plot)?);
                    let name = plot.map(|plot| plot.entry.body.name.clone());
                    ("plot", name.unwrap_or_default())
                }
            };
            take(&Lot {
                field,
                root: outline.root,
                role,
                name,
                area,
            })
        })
    }
}
