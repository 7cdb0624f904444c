//! The published JSON Schemas are those of the types that read the files.

use dibble::fertility::{Conversion, Entry, FoliarTable, Library, LimeTable, NitrogenTable, PhTable, RemovalTable, SoilTable, SulfurTable};
use serde_json::Value;

/// With `DIBBLE_WRITE_SCHEMAS` set the files are written anew.
fn current<T: Entry + schemars::JsonSchema>(stem: &str) -> Value {
    let path = format!("{}/src/data/schema/{stem}.json", env!("CARGO_MANIFEST_DIR"));
    let made = Library::<T>::new_json_schema();
    if std::env::var_os("DIBBLE_WRITE_SCHEMAS").is_some() {
        std::fs::write(&path, format!("{}\n", serde_json::to_string_pretty(&made).unwrap())).unwrap();
    }
    let published: Value = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
    assert!(published == made, "{path} is out of date: run the tests with DIBBLE_WRITE_SCHEMAS=1 --features schema");
    published
}

#[test]
fn table_files_have_a_json_schema() {
    let schemas = [
        current::<SoilTable>("soil_tables"),
        current::<PhTable>("target_ph"),
        current::<LimeTable>("lime_tables"),
        current::<SulfurTable>("sulfur_tables"),
        current::<NitrogenTable>("nitrogen_tables"),
        current::<RemovalTable>("removal_tables"),
        current::<FoliarTable>("foliar_tables"),
        current::<Conversion>("extractant_conversions"),
    ];
    for schema in schemas {
        assert_eq!(schema["additionalProperties"], false, "{schema}");
        assert_eq!(schema["properties"]["table"]["type"], "array", "{schema}");
        let table =
            schema["properties"]["table"]["items"]["$ref"].as_str().and_then(|r| schema.pointer(r.trim_start_matches('#'))).unwrap();
        for key in ["id", "edition", "cite"] {
            assert!(table["required"].as_array().unwrap().iter().any(|k| k == key), "{key} in {table}");
        }
    }
}
