//! The picture of a unit: its positions and the joints between them.

use crate::lookup_error::LookupError;
use crate::shop::Shop;
use crate::show_unit::unit_snapshot;

/// The graph of a unit in the DOT language of Graphviz.
pub async fn unit_graph(shop: &Shop, written: &str) -> Result<String, LookupError> {
    let (unit, snapshot) = unit_snapshot(shop, written).await?;
    Ok(resolver::unit_graph::unit_graph(&snapshot, &unit.unit))
}
