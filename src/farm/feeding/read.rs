//! Soil tests, products and feeding as TOML has them.

use super::super::file::Table;
use super::{BlockFeeding, Fed, FeedingHabits, FeedingMethod};
use crate::fertility::{
    Buffer, BufferMethod, Extractant, Form, Measurement, Nutrient, Product, Rating, SoilTest, SoilTestInput, TestUnit, WaterTest,
};
use crate::units::System;

type T<'s, 't> = Table<'s, 't>;

/// `[soil_test.NAME]`: what the lab sheet says.
pub(in crate::farm) fn soil_test(t: &T<'_, '_>) -> SoilTestInput {
    let test = SoilTestInput {
        sample: t.text("sample").unwrap_or_default(),
        lab: t.text("lab"),
        lab_number: t.text("lab_number"),
        sampled: t.date("sampled"),
        fertilized: t.date("fertilized"),
        depth_m: t.quantity("depth_m", "m"),
        cores: t.count("cores"),
        bulk_density_g_cm3: t.quantity("bulk_density_g_cm3", "g/cm3"),
        scoop_density_g_cm3: t.quantity("scoop_density_g_cm3", "g/cm3"),
        lb_acre_per_ppm: t.quantity("lb_acre_per_ppm", ""),
        ph: t.quantity("ph", ""),
        ph_method: t.choice("ph_method"),
        calcium_chloride_offset: t.quantity("calcium_chloride_offset", ""),
        buffer: t.table("buffer", buffer).flatten(),
        exchangeable_acidity_meq: t.quantity("exchangeable_acidity_meq", ""),
        exchangeable_aluminum_meq: t.quantity("exchangeable_aluminum_meq", ""),
        cec_meq: t.quantity("cec_meq", ""),
        organic_matter_pct: t.quantity("organic_matter_pct", "%"),
        texture: t.choice("texture"),
        free_carbonate: t.flag("free_carbonate"),
        measured: t.tables("measured", measurement).into_iter().flatten().collect(),
        rated: t.tables("rated", rating).into_iter().flatten().collect(),
    };
    t.ok(SoilTest::new(test.clone()));
    test
}

fn buffer(t: &T<'_, '_>) -> Option<Buffer> {
    let value = t.need("value", t.quantity("value", ""), "value = 6.4");
    let method = t.need("method", t.choice::<BufferMethod>("method"), "method = \"Mehlich\"");
    let lime_index = t.flag("lime_index");
    Some(Buffer { value: value?, method: method?, lime_index })
}

fn measurement(t: &T<'_, '_>) -> Option<Measurement> {
    let nutrient = t.need("nutrient", t.choice::<Nutrient>("nutrient"), "nutrient = \"P\"");
    let mut form = t.choice::<Form>("form");
    let two_forms = matches!(nutrient, Some(Nutrient::P | Nutrient::K));
    if two_forms {
        form = t.need("form", form, "form = \"element\" or \"oxide\", as the sheet has it");
    }
    let value = t.need("value", t.reported("value"), "value = 31, or \"<1\"");
    let unit = t.need("unit", t.choice::<TestUnit>("unit"), "unit = \"ppm\" or \"lb/acre\"");
    let extractant = t.need("extractant", t.choice::<Extractant>("extractant"), "extractant = \"Mehlich-3\"; the sheet names it");
    let measurement = Measurement { nutrient: nutrient?, form, value: value?, unit: unit?, extractant: Some(extractant?), converted: None };
    Some(measurement).filter(|_| form.is_some() || !two_forms)
}

fn rating(t: &T<'_, '_>) -> Option<Rating> {
    let nutrient = t.need("nutrient", t.choice::<Nutrient>("nutrient"), "nutrient = \"P\"");
    let class = t.need("class", t.text("class"), "class = \"high\", the lab's word");
    let meaning = t.choice("meaning");
    Some(Rating { nutrient: nutrient?, class: class?, meaning })
}

/// `[[product]]`: a material of the shed, on its own or `like` one of the shipped list.
pub(in crate::farm) fn product(t: &T<'_, '_>) -> Option<Product> {
    let like = t.text("like").map(|name| t.ok(Product::find(&name)));
    let name = t.need("name", t.text("name"), "name = \"...\"");
    let also = t.words("also");
    let usual = like.flatten().unwrap_or_default();
    let pct = |key, usual| t.quantity(key, "%").unwrap_or(usual);
    let product = Product {
        name: name?,
        also,
        n_pct: pct("n_pct", usual.n_pct),
        p2o5_pct: pct("p2o5_pct", usual.p2o5_pct),
        k2o_pct: pct("k2o_pct", usual.k2o_pct),
        ca_pct: pct("ca_pct", usual.ca_pct),
        mg_pct: pct("mg_pct", usual.mg_pct),
        s_pct: pct("s_pct", usual.s_pct),
        b_pct: pct("b_pct", usual.b_pct),
        cu_pct: pct("cu_pct", usual.cu_pct),
        fe_pct: pct("fe_pct", usual.fe_pct),
        mn_pct: pct("mn_pct", usual.mn_pct),
        zn_pct: pct("zn_pct", usual.zn_pct),
        cl_pct: pct("cl_pct", usual.cl_pct),
        neutralizing_pct: pct("neutralizing_pct", usual.neutralizing_pct),
        acidity_kg_kg: t.quantity("acidity_kg_kg", "").or(usual.acidity_kg_kg),
        salt_index: t.quantity("salt_index", "").or(usual.salt_index),
        density_low_kg_m3: t.quantity("density_low_kg_m3", "kg/m3").or(usual.density_low_kg_m3),
        density_high_kg_m3: t.quantity("density_high_kg_m3", "kg/m3").or(usual.density_high_kg_m3),
        price_per_kg: t.quantity("price_per_kg", ""),
        price_per_bag: t.quantity("price_per_bag", ""),
        bag_kg: t.quantity("bag_kg", "kg"),
        on_hand_kg: t.quantity("on_hand_kg", "kg").unwrap_or(0.0),
        max_kg: t.quantity("max_kg", "kg"),
        source: t.text("source").unwrap_or(usual.source),
    };
    t.ok(product.check());
    Some(product)
}

/// `[feeding]`: what holds for all blocks.
pub(in crate::farm) fn habits(t: &T<'_, '_>, products: &[Product]) -> FeedingHabits {
    let habits = FeedingHabits {
        bags: t.choice("bags"),
        oversupply: t.quantity("oversupply", ""),
        undersupply: t.quantity("undersupply", ""),
        salt_cap_kg_ha: t.quantity("salt_cap_kg_ha", "kg/ha"),
        scoop_ml: t.quantity("scoop_ml", "mL"),
        lime: t.text("lime"),
        bud_break: t.date("bud_break"),
        removal: t.flag("removal"),
        from_memory: t.flag("from_memory"),
        soil_table: t.text("soil_table"),
        ph_table: t.text("ph_table"),
        nitrogen_table: t.text("nitrogen_table"),
    };
    t.ok(habits.check(products));
    habits
}

/// `[water_test]`: the irrigation water.
pub(in crate::farm) fn water_test(t: &T<'_, '_>) -> Option<WaterTest> {
    let alkalinity_mg_l = t.need("alkalinity_mg_l", t.quantity("alkalinity_mg_l", "mg/L"), "alkalinity_mg_l = 120, as CaCO3");
    let ec_ds_m = t.need("ec_ds_m", t.quantity("ec_ds_m", "dS/m"), "ec_ds_m = 0.4");
    let (na_mg_l, ca_mg_l) = (t.quantity("na_mg_l", "mg/L"), t.quantity("ca_mg_l", "mg/L"));
    let mg_mg_l = t.quantity("mg_mg_l", "mg/L");
    let test = WaterTest { alkalinity_mg_l: alkalinity_mg_l?, ec_ds_m: ec_ds_m?, na_mg_l, ca_mg_l, mg_mg_l };
    t.ok(crate::fertility::water_load(&test, 0.0, System::default())).map(|_| test)
}

/// `feeding` of a block.
pub(in crate::farm) fn block_feeding(t: &T<'_, '_>) -> Option<BlockFeeding> {
    let soil_test = t.need("soil_test", t.text("soil_test"), "soil_test = \"...\", the NAME of a [soil_test.NAME]");
    let method = t.need("method", t.choice::<FeedingMethod>("method"), "method = \"broadcast\", \"band\" or \"ring\"");
    let feeding = BlockFeeding {
        soil_test: soil_test.unwrap_or_default(),
        method: method.unwrap_or(FeedingMethod::Broadcast),
        width_m: t.quantity("width_m", "m"),
        radius_m: t.quantity("radius_m", "m"),
        clear_m: t.quantity("clear_m", "m"),
        sale_year: t.count("sale_year").and_then(|y| i32::try_from(y).ok()),
        most_n_g: t.quantity("most_n_g", "g"),
        soil_table: t.text("soil_table"),
        ph_table: t.text("ph_table"),
        nitrogen_table: t.text("nitrogen_table"),
    };
    method.map(|_| feeding).filter(|f| !f.soil_test.is_empty())
}

/// `[[block.fed]]`: an entry of the log.
pub(in crate::farm) fn fed(t: &T<'_, '_>) -> Option<Fed> {
    let date = t.need("date", t.date("date"), "date = 2026-05-01");
    let product = t.need("product", t.text("product"), "product = \"...\", a name of a [[product]] or a common one");
    let (amount_kg, per_tree_g) = (t.quantity("amount_kg", "kg"), t.quantity("per_tree_g", "g"));
    let fed = Fed { date: date?, product: product?, amount_kg, per_tree_g };
    t.ok(fed.check()).map(|()| fed)
}
