//! Finding vehicles.

use catalogue::{Code, Vehicle, VehicleUnit};

use crate::error::StoreError;
use crate::select::rows;
use crate::store::Store;

impl Store {
    /// The vehicle of a code.
    pub async fn vehicle(&self, code: &Code) -> Result<Option<Vehicle>, StoreError> {
        Ok(rows(&self.db, "WHERE t.vehicle = $1", vec![code.as_str().into()]).await?.pop())
    }

    /// What units a vehicle carries.
    pub async fn vehicle_units(&self, code: &Code) -> Result<Vec<VehicleUnit>, StoreError> {
        rows(&self.db, "WHERE t.vehicle = $1", vec![code.as_str().into()]).await
    }

    /// The vehicles after a code, in the order of their codes, at most so many.
    pub async fn list_vehicles(&self, after: Option<&Code>, limit: u64) -> Result<Vec<Vehicle>, StoreError> {
        self.list("vehicle", after.map(Code::as_str), limit).await
    }
}
