//! Reading a whole sheet.

use catalogue::{Cell, Sheet, SheetSpec};
use futures::TryStreamExt;
use sea_orm::StreamTrait;

use crate::cells::cells_of;
use crate::error::StoreError;
use crate::select::{column_list, rows, select_from, statement};
use crate::store::Store;

impl Store {
    /// Hands over the rows of a sheet one by one in the order of its key, each with a cell for each column, the derived
    /// ones among them. Memory does not grow with their number.
    ///
    /// Sheets that are exported one after the other are read at different times; see [`Store::begin_export`] where that
    /// matters.
    ///
    /// # Errors
    /// What the database says, as `E`, or the error of the receiver, after which nothing more is read.
    pub async fn export<E: From<StoreError>>(
        &self,
        spec: &SheetSpec,
        receive: &mut (dyn FnMut(Vec<Cell>) -> Result<(), E> + Send),
    ) -> Result<(), E> {
        stream(&self.db, spec, receive).await
    }

    /// Begins an export in which all sheets are read as they are at one moment.
    pub async fn begin_export(&self) -> Result<Export, StoreError> {
        Ok(Export { transaction: self.begin_reading().await? })
    }

    /// All rows of a sheet, in the order of its key.
    pub async fn all_rows<T: Sheet>(&self) -> Result<Vec<T>, StoreError> {
        rows(&self.db, "", vec![]).await
    }
}

/// An export of several sheets at one moment.
#[derive(Debug)]
pub struct Export {
    transaction: sea_orm::DatabaseTransaction,
}

impl Export {
    /// Hands over the rows of a sheet; see [`Store::export`].
    pub async fn sheet<E: From<StoreError>>(
        &self,
        spec: &SheetSpec,
        receive: &mut (dyn FnMut(Vec<Cell>) -> Result<(), E> + Send),
    ) -> Result<(), E> {
        stream(&self.transaction, spec, receive).await
    }
}

async fn stream<E: From<StoreError>>(
    db: &(impl StreamTrait + sea_orm::ConnectionTrait),
    spec: &SheetSpec,
    receive: &mut (dyn FnMut(Vec<Cell>) -> Result<(), E> + Send),
) -> Result<(), E> {
    let order = column_list("t", spec.key.iter().copied());
    let statement = statement(db, format!("{}ORDER BY {order}", select_from(spec)), vec![]);
    let mut stream = std::pin::pin!(db.stream_raw(statement).await.map_err(StoreError::from)?);
    while let Some(row) = stream.try_next().await.map_err(StoreError::from)? {
        receive(cells_of(&row, spec)?)?;
    }
    Ok(())
}
