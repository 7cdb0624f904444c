//! What the farm file says about feeding and what the plan makes of it.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

use dibble::Date;
use dibble::farm::{BlockPlan, Farm, FeedingPlan, Plan, PlanOptions, plan};
use dibble::fertility::{Guarantee, PhVerdict, Status};
use dibble::units::{G_PER_OZ, KG_PER_LB, System, convert};

const FARM: &str = r#"
name = "Hill"

[site]
latitude_deg = 45.5
elevation = "950 ft"

[sprinkler]
rate = "0.75 in/h"

[soil.loam]
texture = "silt loam"

[feeding]
soil_table = "rutgers-levels"
ph_table = "nc-state-fraser-fir"
bud_break = 2020-05-15
lime = "dolomite"

[[product]]
name = "ammonium sulfate"
like = "AS"
bag = "50 lb"
price_per_bag = 20

[[product]]
name = "potash"
like = "SOP"
bag = "50 lb"
price_per_bag = 40
on_hand = "25 lb"

[[product]]
name = "dolomite"
like = "dolomite"
neutralizing = "90 %"
price_per_kg = 0.05

[soil_test.top]
sampled = 2025-10-18
depth = "7 in"
cores = 15
ph = 5.2
ph_method = "water"
buffer = { value = 6.1, method = "Mehlich" }
measured = [
  { nutrient = "P", form = "element", value = 90, unit = "lb/acre", extractant = "Mehlich-3" },
  { nutrient = "K", form = "element", value = 100, unit = "lb/acre", extractant = "Mehlich-3" },
  { nutrient = "B", value = "<0.5", unit = "ppm", extractant = "Mehlich-3" },
]
rated = [{ nutrient = "Mg", class = "high" }]

[[block]]
name = "North"
species = "Fraser fir"
planted = 2024-05-01
row_spacing = "6 ft"
tree_spacing = "6 ft"
trees = 1210
area = "1 acre"
soil = "loam"
feeding = { soil_test = "top", method = "broadcast" }
"#;

fn planned(text: &str, today: &str) -> Plan {
    let farm = Farm::parse(text, "hill.toml").unwrap_or_else(|e| panic!("{e}"));
    let today: Date = today.parse().unwrap();
    let days: String = (-30..7).map(|n| format!("{},11,24,2\n", today + n)).collect();
    let csv = format!("date,tmin_c,tmax_c,rain_mm\n{days}");
    let weather = dibble::weather::Weather::parse_csv(&csv, &dibble::weather::CsvOptions::default()).unwrap();
    plan(&farm, &weather, today, &PlanOptions::default()).unwrap_or_else(|e| panic!("{e}"))
}

fn feeding(plan: &Plan) -> &FeedingPlan {
    plan.blocks[0].feeding.as_ref().unwrap()
}

fn grams(feeding: &FeedingPlan, product: &str) -> f64 {
    feeding.next.iter().flat_map(|r| &r.amounts).find(|a| a.product == product).map_or(0.0, |a| a.rates.g_per_tree)
}

#[test]
fn a_block_gets_its_next_feeding_in_ounces_bags_and_money() {
    let plan = planned(FARM, "2026-07-14");
    let feeding = feeding(&plan);
    let next = feeding.next.as_ref().unwrap();
    // the spring of 2026 is over; the next is two weeks before the usual bud break of 2027, a week more or less
    assert_eq!((feeding.season, next.from, next.until), (2027, "2027-04-24".parse().ok(), "2027-05-08".parse().ok()));
    // year 4: 1 oz of N a tree (Michigan State University), 21 % in ammonium sulfate
    assert!((grams(feeding, "ammonium sulfate") - G_PER_OZ / 0.21).abs() < 1e-6);
    // K 100 lb/acre in 7 in of soil are 47.6 ppm; up to 72.5 in four years: 24.9 x 8 / 4 lb K2O on the acre
    let k2o = feeding.needs.iter().find(|n| n.nutrient == Guarantee::K2o).unwrap().rates;
    assert!((convert(k2o.field_kg_ha, "kg/ha", "lb/acre").unwrap() - 49.8).abs() < 0.05);
    assert!((grams(feeding, "potash") - k2o.g_per_tree / 0.50).abs() < 1e-6);
    // 1,210 oz of N in 360 lb: 8 bags; 100 lb of potash of which 25 lie in the shed: 2 bags
    let list = plan.feeding.as_ref().unwrap();
    let bags = |name: &str| list.buy.iter().find(|b| b.product == name).unwrap().bags;
    assert_eq!((bags("ammonium sulfate"), bags("potash")), (Some(8), Some(2)));
    assert_eq!(feeding.cost, Some(8.0 * 20.0 + 2.0 * 40.0));
    let lime = feeding.lime.as_ref().unwrap();
    assert!((list.cost - feeding.cost.unwrap() - lime.cost.unwrap()).abs() < 1e-9);
    assert!(list.cautions.iter().any(|c| c.contains("wells")) && list.cautions[0].contains("not a certified nutrient management plan"));
}

#[test]
fn a_farm_may_bear_a_greater_shortfall_or_none() {
    let bags = |share: &str| {
        let plan = planned(&FARM.replace("bud_break =", &format!("undersupply = {share}\nbud_break =")), "2026-07-14");
        plan.feeding.unwrap().buy.into_iter().find(|b| b.product == "ammonium sulfate").unwrap().bags
    };
    // 360 lb are 7.2 bags of 50 lb: seven are 2.8 % short
    assert_eq!((bags("\"3 %\""), bags("0.02"), bags("0")), (Some(7), Some(8), Some(8)));
    let error = Farm::parse(&FARM.replace("bud_break =", "undersupply = 0.9\nbud_break ="), "hill.toml").unwrap_err().to_string();
    assert!(error.contains("undersupply is 0.9: tolerance of undersupply must be from 0 to 0.5."), "{error}");
}

#[test]
fn a_farm_may_take_lime_by_a_buffer_method_from_memory() {
    let by_smp = |more: &str| {
        // the table has no column below pH 6, which balsam fir wants at least
        let balsam = FARM.replace("nc-state-fraser-fir", "msu-soil-ph").replace("\"Fraser fir\"", "\"balsam fir\"");
        let text = balsam.replace("method = \"Mehlich\"", "method = \"SMP\"").replace("bud_break =", &format!("{more}bud_break ="));
        let plan = planned(&text, "2026-07-14");
        (feeding(&plan).lime.is_some(), feeding(&plan).ask.join(" "))
    };
    let (lime, ask) = by_smp("");
    assert!(!lime && ask.contains("Allow it with from_memory"), "{ask}");
    assert_eq!(by_smp("from_memory = false\n"), (lime, ask));
    let (lime, ask) = by_smp("from_memory = true\n");
    assert!(lime && !ask.contains("from_memory"), "{ask}");
}

#[test]
fn lime_is_a_weight_of_the_material_and_what_is_spread_since_the_sample_is_taken_off() {
    let plan = planned(FARM, "2026-07-14");
    let lime = feeding(&plan).lime.clone().unwrap();
    assert_eq!((lime.verdict, lime.material.as_deref(), lime.more_years), (PhVerdict::Lime, Some("dolomite"), 0));
    // 2 meq (5.5 - 5.2) / (6.6 - 5.2) tons/acre for the top 8 in by Mehlich, of which the top 4 in takes its share
    let kg = lime.total_kg.unwrap();
    assert!((kg - lime.rate_kg_ha * convert(1.0, "acre", "ha").unwrap()).abs() < 1e-6 && lime.cost == Some(0.05 * kg));
    let spread =
        |date: &str| planned(&format!("{FARM}fed = [{{ date = {date}, product = \"dolomite\", amount_kg = 50 }}]\n"), "2026-07-14");
    let after = feeding(&spread("2026-04-10")).lime.clone().unwrap();
    assert!((after.total_kg.unwrap() - (kg - 50.0)).abs() < 1e-6, "dolomite for dolomite");
    let before = feeding(&spread("2025-04-10")).lime.clone().unwrap();
    assert_eq!(before.total_kg, Some(kg), "the sample knows of it");
    let done = planned(&format!("{FARM}fed = [{{ date = 2026-04-10, product = \"dolomite\", amount_kg = 5000 }}]\n"), "2026-07-14");
    assert!(done.to_string().contains("Lime          this year's is spread."), "{done}");
}

#[test]
fn what_was_fed_in_the_season_counts_and_what_was_missed_is_not_made_up() {
    // on the first of May the window is open
    let open = planned(FARM, "2026-05-01");
    assert_eq!(feeding(&open).season, 2026);
    let whole = grams(feeding(&open), "ammonium sulfate");
    let log = |lb: f64| format!("{FARM}fed = [{{ date = 2026-04-28, product = \"ammonium sulfate\", amount = \"{lb} lb\" }}]\n");
    let half = planned(&log(90.0), "2026-05-01");
    let part = grams(feeding(&half), "ammonium sulfate");
    assert!(((whole - part) * 1210.0 / 1000.0 - 90.0 * KG_PER_LB).abs() < 1e-6);
    assert_eq!(feeding(&half).fed.len(), 1);
    // potash alone is left once the nitrogen is given
    let given = planned(&log(200.0), "2026-05-01");
    assert_eq!((grams(feeding(&given), "ammonium sulfate"), grams(feeding(&given), "potash") > 0.0), (0.0, true));
    // the year before does not count, and in July the spring is over whether fed or not
    let missed = planned(FARM, "2026-07-14");
    let fed = planned(&log(180.0), "2026-07-14");
    assert_eq!(feeding(&missed).next, feeding(&fed).next);
}

#[test]
fn feedings_of_the_season_log_count_once() {
    use dibble::record::Log;
    let farm = Farm::parse(FARM, "hill.toml").unwrap();
    let text = "season log,1,Hill\nid,date,block,state,what,product,amount_kg\n\
        a,2026-04-28,North,done,feeding,ammonium sulfate,40\nb,2026-04-28,North,done,feeding,guano,40\n";
    let log = Log::parse(text, "log.csv").unwrap();
    let logged = farm.with_log(&log).unwrap();
    let filed =
        Farm::parse(&format!("{FARM}fed = [{{ date = 2026-04-28, product = \"ammonium sulfate\", amount_kg = 40 }}]\n"), "hill.toml");
    assert_eq!((logged.used, &logged.farm), (1, filed.as_ref().unwrap()));
    assert!(logged.notes[0].starts_with("line 4 is not counted: product \"guano\" is not known."), "{:?}", logged.notes);
    assert_eq!(
        filed.unwrap().with_log(&log).unwrap_err().to_string(),
        "log.csv, line 3: block \"North\" has a feeding of ammonium sulfate of 2026-04-28 in the farm file too, and it would count twice. Take it out of the farm file, or strike \"a\" in the log."
    );
}

#[test]
fn trees_to_be_sold_get_the_second_half_in_august_and_nothing_after_the_sale() {
    let sold = FARM.replace("method = \"broadcast\"", "method = \"broadcast\", sale_year = 2026");
    let plan = planned(&sold, "2026-07-14");
    let august = feeding(&plan);
    let next = august.next.as_ref().unwrap();
    assert_eq!((next.from, next.until), ("2026-08-01".parse().ok(), "2026-08-31".parse().ok()));
    // half of the year's 1 oz
    assert!((grams(august, "ammonium sulfate") - 0.5 * G_PER_OZ / 0.21).abs() < 1e-6);
    assert_eq!(grams(august, "potash"), 0.0, "potash waits for fall or spring, and these trees will be gone");
    let late = planned(&sold, "2026-09-02");
    assert_eq!(feeding(&late).next, None);
    assert!(late.to_string().contains("Next          nothing is due in this season or the next"), "{late}");
    assert!(planned(&sold, "2027-03-02").blocks[0].feeding.is_none());
}

#[test]
fn the_planting_year_waits_for_spring() {
    let this_spring = FARM.replace("planted = 2024-05-01", "planted = 2026-04-20");
    assert_eq!(feeding(&planned(&this_spring, "2026-05-01")).season, 2027);
}

#[test]
fn south_of_the_equator_the_season_begins_in_july() {
    let south = FARM.replace("latitude_deg = 45.5", "latitude_deg = -43").replace("bud_break = 2020-05-15\n", "");
    let south = south.replace("planted = 2024-05-01", "planted = 2023-10-01");
    let plan = planned(&south, "2026-07-14");
    let next = feeding(&plan).next.as_ref().unwrap();
    assert_eq!((feeding(&plan).season, next.from), (2026, "2026-10-25".parse().ok()));
    assert!(feeding(&plan).assumptions.iter().any(|a| a.key == "bud_break"));
}

#[test]
fn without_products_the_time_and_the_nutrients_are_said() {
    let bare: String = FARM.split("[[product]]").next().unwrap().replace("lime = \"dolomite\"\n", "")
        + FARM.split_once("[soil_test.top]").map(|(_, rest)| format!("[soil_test.top]{rest}")).unwrap().as_str();
    let plan = planned(&bare, "2026-07-14");
    let feeding = feeding(&plan);
    assert!(feeding.next.as_ref().unwrap().amounts.is_empty() && feeding.cost.is_none());
    let n = feeding.needs.iter().find(|n| n.nutrient == Guarantee::N).unwrap();
    assert!((n.rates.g_per_tree - G_PER_OZ).abs() < 1e-9);
    assert!(feeding.lime.as_ref().unwrap().rate_kg_ha > 0.0 && feeding.lime.as_ref().unwrap().cost.is_none());
}

#[test]
fn products_that_miss_a_need_are_told_and_the_rest_stands() {
    let poor = FARM.replace("like = \"SOP\"", "like = \"gypsum\"");
    let plan = planned(&poor, "2026-07-14");
    let feeding = feeding(&plan);
    assert!(feeding.unmet[0].starts_with("None of these products holds K2O (potash), and "), "{:?}", feeding.unmet);
    assert!(grams(feeding, "ammonium sulfate") > 0.0 && feeding.lime.is_some());
    assert!(plan.to_string().contains("Not met       None of these products holds K2O (potash), and "));
}

#[test]
fn an_old_soil_test_gives_reasons_and_no_amounts() {
    let old = FARM.replace("sampled = 2025-10-18", "sampled = 2021-10-18");
    let plan = planned(&old, "2026-07-14");
    let feeding = feeding(&plan);
    assert_eq!((feeding.status, feeding.next.is_none(), feeding.lime.is_none()), (Status::NotUsable, true, true));
    assert_eq!(feeding.reasons[0], "The sample is 4.7 years old. Sample again.");
}

#[test]
fn two_blocks_share_one_shed() {
    let south = FARM.split_once("[[block]]").unwrap().1.replace("\"North\"", "\"South\"");
    let plan = planned(&format!("{FARM}\n[[block]]{south}"), "2026-07-14");
    let cost = |b: &BlockPlan| b.feeding.as_ref().unwrap().cost.unwrap();
    let [north, second] = plan.blocks.as_slice() else { panic!("two blocks") };
    // 90 lb of potash each: the stock and an opened bag go to the first, what is left of it to the second
    assert_eq!((cost(north), cost(second)), (240.0, 8.0 * 20.0 + 2.0 * 40.0 - 20.0));
    let list = plan.feeding.as_ref().unwrap();
    let lime: f64 = plan.blocks.iter().map(|b| b.feeding.as_ref().unwrap().lime.as_ref().unwrap().cost.unwrap()).sum();
    assert!((list.cost - cost(north) - cost(second) - lime).abs() < 1e-9);
}

#[test]
fn the_section_is_in_text_table_json_and_explanation() {
    let plan = planned(FARM, "2026-07-14");
    assert_eq!(Plan::from_json(&plan.to_json().unwrap()).unwrap(), plan);
    let csv = plan.to_csv();
    let (head, row) = csv.split_once('\n').unwrap();
    assert!(head.ends_with(",feeding_from,feeding_until,feeding_g_per_tree,feeding_cost,lime_kg_ha,lime_kg"), "{head}");
    assert!(row.contains(",2027-04-24,2027-05-08,ammonium sulfate 134.9"), "{row}");
    let steps: Vec<String> = plan.explain("North").unwrap().iter().map(ToString::to_string).collect();
    assert!(steps.iter().any(|s| s.starts_with("N: weight of each product times its content")), "{steps:?}");
    let si = Plan { units: System::Si, ..plan.clone() }.to_string();
    let part = |text: &str| text.split("Feeding of North").nth(1).unwrap().split("\n\n").next().unwrap().to_string();
    assert!(part(&si).contains("g per tree") && !part(&si).contains(" oz"), "{}", part(&si));
    assert!(part(&plan.to_string()).contains("4.8 oz (135 g) per tree"));
    let quiet = planned(&FARM.replace("feeding = { soil_test = \"top\", method = \"broadcast\" }\n", ""), "2026-07-14");
    assert!(quiet.feeding.is_none() && !quiet.to_string().contains("Feeding"));
}

#[test]
fn a_farm_comes_back_from_its_own_toml() {
    for farm in [Farm::demo().unwrap(), Farm::parse(FARM, "hill.toml").unwrap()] {
        let text = farm.to_toml().unwrap();
        assert_eq!(Farm::parse(&text, "again.toml").unwrap_or_else(|e| panic!("{e}\n{text}")), farm);
        let json = serde_json::to_string(&farm).unwrap();
        assert_eq!(serde_json::from_str::<Farm>(&json).unwrap(), farm);
    }
}

#[test]
fn every_mistake_is_told_at_once_with_its_line() {
    let broken = FARM
        .replace("lime = \"dolomite\"", "lime = \"potash\"")
        .replace("like = \"AS\"", "like = \"ammonium sulfat\"")
        .replace("price_per_bag = 40", "price_per_bag = -40")
        .replace("value = 90, unit", "value = \"a lot\", unit")
        .replace("{ nutrient = \"K\", form = \"element\",", "{ nutrient = \"K\",")
        .replace("{ value = 6.1,", "{ value = 8.6,")
        .replace("soil_test = \"top\", method = \"broadcast\"", "soil_test = \"tpo\", method = \"ring\", width = \"4 ft\"")
        + "fed = [{ date = 2026-04-28, product = \"guano\", amount = \"5 lb\" }, { date = 2026-04-29, product = \"urea\" }]\n";
    let error = Farm::parse(&broken, "hill.toml").unwrap_err();
    let known = "\"urea\", \"ammonium sulfate\", \"ammonium nitrate\", \"calcium nitrate\", \"monoammonium phosphate\", \"diammonium phosphate\", \"triple superphosphate\", \"potassium chloride\", \"potassium sulfate\", \"potassium magnesium sulfate\", \"magnesium sulfate\", \"kieserite\", \"gypsum\", \"elemental sulfur\", \"calcitic lime\", \"dolomitic lime\"";
    let expected: [String; 10] = [
        "hill.toml, line 14 (feeding): lime names \"potash\", which neutralizes nothing. Name a lime, or give the product its neutralizing_pct.".into(),
        format!("hill.toml, line 20 (product \"ammonium sulfate\"): product \"ammonium sulfat\" is not known. Did you mean \"ammonium sulfate\", \"ammonium nitrate\"? Known: {known}."),
        "hill.toml, line 30 (product \"potash\", price_per_bag): price_per_bag is -40: price must be from 0 to 1000000000. Give money, 0 for a gift; a price cannot be negative.".into(),
        "hill.toml, line 39 (soil_test \"top\"): buffer_ph is 8.6: buffer pH must be from 4 to 8. The lab's buffer starts at 8.0 or below and only falls; a value near 60 is a lime index (ten times the buffer pH).".into(),
        "hill.toml, line 47 (soil_test \"top\", measured 1, value): cannot read the reported value \"a lot\": it is not a number. Write 12, <1, >500 or ND.".into(),
        "hill.toml, line 48 (soil_test \"top\", measured 2): form is missing. Write form = \"element\" or \"oxide\", as the sheet has it.".into(),
        "hill.toml, line 53 (block \"North\"): radius is missing. A ring needs it: write radius = \"18 in\".".into(),
        "hill.toml, line 53 (block \"North\"): soil test \"tpo\" is not known. Did you mean \"top\"? Known: \"top\".".into(),
        format!("hill.toml, line 53 (block \"North\"): product \"guano\" is not known. Known: {known}."),
        "hill.toml, line 63 (block \"North\", fed 2): amount or per_tree is missing. Write amount = \"50 lb\" for the block or per_tree = \"1 oz\".".into(),
    ];
    assert_eq!(error.to_string(), format!("10 problems:\n  - {}", expected.join("\n  - ")));
}
