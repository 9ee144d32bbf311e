//! The JSON Schema of the job file: editors complete and check by it, and so does [`super::read`].

use serde_json::Value;

use super::types::Job;

/// The JSON Schema (draft 2020-12) of the job file.
#[must_use]
pub fn schema() -> Value {
    let mut schema = schemars::schema_for!(Job).to_value();
    // The shop's habits stand under [shop]; a second place for them under [stock] would only raise the question which
    // one counts.
    if let Some(Value::Object(stock)) = schema.pointer_mut("/$defs/StockFile/properties") {
        stock.remove("practice");
    }
    if let Some(root) = schema.as_object_mut() {
        root.insert("title".to_owned(), Value::from("matloft job"));
    }
    schema
}
