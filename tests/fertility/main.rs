//! Fertility against published values, with the laws that amounts keep and the messages of bad input.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

mod amounts;
mod blend;
mod blend_laws;
mod blend_reference;
mod foliar;
mod lime;
mod mix;
mod mixed;
mod reference;
mod soil;
mod whole;

/// The published schemas name the keys that a file needs, and refuse others.
#[cfg(feature = "schema")]
#[test]
fn table_files_have_a_json_schema() {
    use dibble::fertility::{Conversion, FoliarTable, Library, LimeTable, NitrogenTable, PhTable, RemovalTable, SoilTable, SulfurTable};
    let schemas = [
        Library::<SoilTable>::json_schema(),
        Library::<PhTable>::json_schema(),
        Library::<LimeTable>::json_schema(),
        Library::<SulfurTable>::json_schema(),
        Library::<NitrogenTable>::json_schema(),
        Library::<RemovalTable>::json_schema(),
        Library::<FoliarTable>::json_schema(),
        Library::<Conversion>::json_schema(),
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
