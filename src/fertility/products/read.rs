//! Lists of products as users write them: every fault with its line.

use super::Product;
use crate::error::{Error, Result};
use crate::units;
use crate::words::same;
use serde::Deserialize;
use toml::{Spanned, Table, Value};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    product: Vec<Spanned<Table>>,
}

/// Weights that may be written with a unit, and the key without one.
const WEIGHTS: [(&str, &str); 3] = [("bag", "bag_kg"), ("on_hand", "on_hand_kg"), ("max", "max_kg")];

const KEYS: [&str; 29] = [
    "name",
    "like",
    "also",
    "n_pct",
    "p2o5_pct",
    "k2o_pct",
    "ca_pct",
    "mg_pct",
    "s_pct",
    "b_pct",
    "cu_pct",
    "fe_pct",
    "mn_pct",
    "zn_pct",
    "cl_pct",
    "neutralizing_pct",
    "acidity_kg_kg",
    "salt_index",
    "density_low_kg_m3",
    "density_high_kg_m3",
    "price_per_kg",
    "price_per_bag",
    "bag_kg",
    "bag",
    "on_hand_kg",
    "on_hand",
    "max_kg",
    "max",
    "source",
];

pub(super) fn list(text: &str, name: &str) -> Result<Vec<Product>> {
    let line_of = |offset: usize| text.get(..offset).map_or(1, |before| before.matches('\n').count() + 1);
    let file: File = toml::from_str(text).map_err(|e| {
        let line = e.span().map_or(1, |span| line_of(span.start));
        let written = text.lines().nth(line - 1).unwrap_or("").trim();
        let hint = "Products stand in tables headed [[product]].";
        Error::unreadable("this line", written, said(&e), hint).at(format!("{name}, line {line}"))
    })?;
    let (mut products, mut problems) = (Vec::<Product>::new(), Vec::new());
    for table in file.product {
        let place = format!("{name}, line {}", line_of(table.span().start));
        let product = one(table.into_inner()).and_then(|p| match products.iter().find(|q| same(&q.name, &p.name)) {
            Some(_) => Err(Error::inconsistent(format!("\"{}\" stands twice", p.name), "Give each product a name of its own.")),
            None => Ok(p),
        });
        match product {
            Ok(product) => products.push(product),
            Err(e) => problems.extend(e.problems().iter().map(|p| {
                let inner = p.place().map(|inner| format!("{place}, {inner}"));
                p.clone().at(inner.unwrap_or_else(|| place.clone()))
            })),
        }
    }
    Error::several(problems).map_or(Ok(products), Err)
}

fn one(mut table: Table) -> Result<Product> {
    let name = table.get("name").and_then(Value::as_str).unwrap_or("").to_string();
    let place = || format!("product \"{name}\"");
    let unknown = |key: &str| Error::unknown("key", key, &KEYS).at(place());
    let strangers: Vec<Error> = table.keys().filter(|key| !KEYS.contains(&key.as_str())).map(|key| unknown(key)).collect();
    if let Some(e) = Error::several(strangers) {
        return Err(e);
    }
    for (key, field) in WEIGHTS {
        match (table.remove(key), table.contains_key(field)) {
            (None, _) => {}
            (Some(_), true) => {
                let what = format!("{key} and {field} are both given");
                return Err(Error::inconsistent(what, "Give one of them.").at(place()));
            }
            (Some(Value::String(quantity)), false) => {
                let kg = units::parse(&quantity, "kg").map_err(|e| e.at(place()))?;
                table.insert(field.into(), Value::Float(kg));
            }
            (Some(other), false) => {
                let hint = format!("Write \"50 lb\", or {field} with the plain number.");
                return Err(Error::unreadable(key, &other.to_string(), "it has no unit", hint).at(place()));
            }
        }
    }
    let mut whole = Table::new();
    if let Some(like) = table.remove("like") {
        let shipped = Product::find(like.as_str().unwrap_or_default()).map_err(|e| e.at(place()))?;
        whole =
            Table::try_from(Product { also: Vec::new(), ..shipped }).map_err(|e| Error::internal("the shipped products", e.to_string()))?;
    }
    whole.extend(table);
    let product: Product = Value::Table(whole)
        .try_into()
        .map_err(|e| Error::unreadable("product", &name, said(&e), "Numbers stand without quotes, names with them."))?;
    product.check()?;
    Ok(product)
}

fn said(e: &toml::de::Error) -> String {
    e.message().trim().trim_end_matches('.').replace("expected f64", "expected a number")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_keys_are_those_of_a_product() {
        let json = serde_json::to_value(Product::default()).unwrap();
        let mut fields: Vec<&str> = json.as_object().unwrap().keys().map(String::as_str).collect();
        fields.extend(["like", "bag", "on_hand", "max"]);
        fields.sort_unstable();
        let mut keys = KEYS;
        keys.sort_unstable();
        assert_eq!(fields, keys);
    }

    #[test]
    fn weights_want_one_spelling_and_a_unit() {
        let said = |lines: &str| {
            let text = format!("[[product]]\nname = \"a\"\n{lines}\n");
            Product::parse_list(&text, "shed.toml").unwrap_err().to_string()
        };
        assert_eq!(
            said("bag = 50"),
            "shed.toml, line 1, product \"a\": cannot read bag \"50\": it has no unit. Write \"50 lb\", or bag_kg with the plain number."
        );
        assert_eq!(
            said("bag = \"50 lb\"\nbag_kg = 22"),
            "shed.toml, line 1, product \"a\": bag and bag_kg are both given. Give one of them."
        );
        assert_eq!(
            said("n_pct = \"46\""),
            "shed.toml, line 1: cannot read product \"a\": invalid type: string \"46\", expected a number. Numbers stand without quotes, names with them."
        );
        assert_eq!(
            Product::parse_list("[[product]]\nname = ", "shed.toml").unwrap_err().to_string().lines().next().unwrap(),
            "shed.toml, line 2: cannot read this line \"name =\": string values must be quoted, expected literal string. Products stand in tables headed [[product]]."
        );
    }

    #[test]
    fn lists_give_every_fault_with_its_line() {
        let text = "[[product]]\nname = \"blend\"\nn_pct = 60\np2o5_pct = 50\n\n[[product]]\nname = \"odd\"\nn_pct = -1\nprice_per_kg = -2\n\n[[product]]\nname = \"x\"\nnitrogen = 4\n";
        assert_eq!(
            Product::parse_list(text, "shed.toml").unwrap_err().to_string(),
            format!(
                "4 problems:\n  - shed.toml, line 1, product \"blend\": the grade 60-50-0 adds to 110.0000 % and all elements to 81.8210 %. No product holds more than 100 %; give percent by weight.\n  - shed.toml, line 6, product \"odd\": n_pct is -1 %: content must be from 0 to 100 %. Give percent by weight, as the label has it.\n  - shed.toml, line 6, product \"odd\": price_per_kg is -2: price must be from 0 to 1000000000. Give money, 0 for a gift; a price cannot be negative.\n  - shed.toml, line 11, product \"x\": key \"nitrogen\" is not known. Known: {}.",
                KEYS.map(|k| format!("\"{k}\"")).join(", ")
            )
        );
    }

    #[test]
    fn own_products_start_from_shipped_ones_and_take_units() {
        let text = "[[product]]\nlike = \"urea\"\nname = \"urea, coop\"\nbag = \"50 lb\"\nprice_per_bag = 31.5\non_hand = \"1 ton\"\n";
        let list = Product::parse_list(text, "shed.toml").unwrap();
        assert_eq!(list.len(), 1);
        let urea = &list[0];
        assert_eq!((urea.n_pct, urea.salt_index), (46.0, Some(74.4)));
        assert!((urea.bag_kg.unwrap() - 22.6796).abs() < 1e-4 && (urea.on_hand_kg - 907.185).abs() < 1e-3);
        assert!((urea.price().unwrap() - 31.5 / 22.6796).abs() < 1e-4);
    }
}
