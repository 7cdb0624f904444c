//! The season log: written and read back, damaged files, what counts and what does not, and how a farm takes it.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::Date;
use dibble::farm::{Farm, PlanOptions, plan};
use dibble::record::{Entry, Kind, Log, State, What};
use dibble::water::Seen;
use proptest::prelude::*;

const FARM: &str = "Kettle Hill (demo)";

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

fn minutes(time_min: f64, sets: Option<&str>) -> What {
    What::Water { depth_mm: None, time_min: Some(time_min), sets: sets.map(|s| s.parse().unwrap()) }
}

fn depth(depth_mm: f64) -> What {
    What::Water { depth_mm: Some(depth_mm), time_min: None, sets: None }
}

fn log(entries: impl IntoIterator<Item = Entry>) -> Log {
    entries.into_iter().fold(Log::new(FARM).unwrap(), |log, entry| log.with(entry).unwrap())
}

fn lines(body: &str) -> Log {
    Log::parse(&format!("season log,1,{FARM}\n{body}"), "log.csv").unwrap()
}

fn faults(log: &Log) -> Vec<String> {
    log.faults().iter().map(ToString::to_string).collect()
}

fn every_kind() -> Vec<Entry> {
    let date = day("2026-07-14");
    let of = |what| Entry::done(date, "South slope", what);
    vec![
        of(minutes(70.5, Some("1-3 of 4"))),
        of(depth(12.7)),
        Entry::planned(date, "Kame", depth(19.05)),
        Entry::done(date, "", What::Rain { depth_mm: 8.4 }),
        of(What::Reading { soil_depth_m: 0.1, holes: 3, seen: Seen::Feel("slightly moist".parse().unwrap()) }),
        of(What::Reading { soil_depth_m: 0.2, holes: 1, seen: Seen::TensionKpa(45.0) }),
        of(What::Reading { soil_depth_m: 0.3, holes: 1, seen: Seen::WaterContent(0.21) }),
        of(What::Feeding { product: "ammonium sulfate, \"21-0-0\"".into(), amount_kg: 22.68 }),
        of(What::Count { place: "row 12".into(), living: 3, planted: Some(5), row: Some("xx.x.".into()) }),
        of(What::Count { place: String::new(), living: 1200, planted: None, row: None }),
        Entry { note: "deer at the north fence; \"two\" rows, half browsed".into(), ..Entry::done(date, "", What::Note) },
        Entry { of: Some("2026-07-14-2".into()), note: "wrong block".into(), ..Entry::done(date, "", What::Strike) },
    ]
}

#[test]
fn every_kind_of_entry_comes_back_from_the_file() {
    let written = log(every_kind());
    let read = Log::parse(written.text(), "log.csv").unwrap();
    assert_eq!(read.entries(), written.entries());
    assert_eq!(read.entries().len(), 12);
    for (entry, given) in read.entries().iter().zip(every_kind()) {
        assert_eq!(entry, &Entry { id: entry.id.clone(), ..given });
    }
    assert_eq!((read.faults(), read.remarks()), (&[][..], &[][..]));
    let back: Log = serde_json::from_str(&serde_json::to_string(&read).unwrap()).unwrap();
    assert_eq!(back, read);
    for entry in read.entries() {
        assert_eq!(&serde_json::from_str::<Entry>(&serde_json::to_string(entry).unwrap()).unwrap(), entry);
    }
}

#[test]
fn a_spreadsheet_may_reorder_columns_use_semicolons_and_pad_lines() {
    let text = "\u{feff}season log;1;Kettle Hill (demo);;;;\r\n\
                Date;ID;What;Block;Depth;Soil_depth;Feel;Holes;Note\r\n\
                2026-07-14;a;water;Kame;0.5 in;;;;\r\n\
                2026-07-15;b;reading;Kame;;4 in;25-50 %;2;\"dug; twice\";;\r\n\r\n";
    let log = Log::parse(text, "log.csv").unwrap();
    assert_eq!(faults(&log), [] as [&str; 0]);
    assert_eq!(log.entries()[0].what, depth(12.7));
    let Some(What::Reading { soil_depth_m, holes: 2, .. }) = log.entries().get(1).map(|e| e.what.clone()) else { panic!("a reading") };
    assert!((soil_depth_m - 0.1016).abs() < 1e-12);
    // a line of ours follows the file's own headings, its delimiter and its line ends
    let more = log.with(Entry { note: "late".into(), ..Entry::done(day("2026-07-16"), "Kame", depth(6.0)) }).unwrap();
    assert!(more.text().ends_with("\r\n2026-07-16;2026-07-16-1;water;Kame;6 mm;;;;late\r\n"), "{:?}", more.text());
    assert_eq!(more.entries()[2].what, depth(6.0));
    let fed = Entry::done(day("2026-07-16"), "Kame", What::Feeding { product: "urea".into(), amount_kg: 5.0 });
    assert_eq!(
        log.with(fed).unwrap_err().to_string(),
        "the column product of log.csv is missing. Add the heading product to the file's second line."
    );
}

#[test]
fn a_torn_last_line_is_kept_and_reported_and_the_rest_used() {
    let whole = log(every_kind());
    let text = whole.text();
    let kept = text.trim_end().rfind('\n').unwrap() + 1; // all but the last line
    for cut in kept + 1..text.len() - 1 {
        let torn = Log::parse(&text[..cut], "log.csv").unwrap();
        let all = torn.entries().len();
        // the last cell is a note: a cut within it leaves every number whole
        let in_note = text[kept..cut].matches(',').count() == 20;
        assert_eq!((all, torn.faults().len()), if in_note { (12, 0) } else { (11, 1) }, "{:?}", &text[kept..cut]);
        assert_eq!(torn.text(), &text[..cut]);
        if !in_note {
            let why = torn.faults()[0].to_string();
            assert!(why.starts_with("line 14 is not counted: it breaks off after ") && why.ends_with("enter it again."), "{why}");
            // the next entry begins a line of its own
            let next = torn.with(Entry::done(day("2026-07-20"), "Kame", depth(5.0))).unwrap();
            assert_eq!((next.entries().len(), next.faults().len()), (12, 1));
            assert!(next.text().starts_with(&text[..cut]));
        }
    }
}

#[test]
fn a_number_in_the_last_column_that_may_be_cut_short_is_not_trusted() {
    let head = "season log,1,F\nid,date,block,what,depth_mm\na,2026-07-14,North,water,";
    assert_eq!(Log::parse(&format!("{head}12\n"), "log.csv").unwrap().entries().len(), 1);
    assert_eq!(
        faults(&Log::parse(&format!("{head}12"), "log.csv").unwrap()),
        ["line 3 is not counted: it breaks off after 5 of 5 cells. It was cut off while it was written; enter it again."]
    );
}

#[test]
fn each_faulty_line_says_why_and_the_others_count() {
    let log = lines(
        "id,date,block,state,what,of,depth_mm,time_min,sets,soil_depth_m,feel,holes,living,planted,row,note\n\
         a,2026-07-14,Kame,done,water,,12.7,,,,,,,,,\n\
         b,7/14/2026,Kame,done,water,,12.7,,,,,,,,,\n\
         c,2026-07-14,Kame,done,water,,0.5 in,,,,,,,,,\n\
         d,2026-07-14,Kame,done,water,,12.7,60,,,,,,,,\n\
         e,2026-07-14,Kame,done,watring,,12.7,,,,,,,,,\n\
         f,2026-07-14,Kame,done,water,,-3,,,,,,,,,\n\
         g,2026-07-14,,done,water,,12.7,,,,,,,,,\n\
         h,2026-07-14,Kame,done,reading,,,,,0.1,,,,,,\n\
         i,2026-07-14,Kame,done,rain,,3,60,,,,,,,,\n\
         a,2026-07-15,Kame,done,water,,10,,,,,,,,,\n\
         a,2026-07-14,Kame,done,water,,12.7,,,,,,,,,\n\
         j,2026-07-14,Kame,done,strike,nobody,,,,,,,,,,\n\
         k,2026-07-14,Kame,planned,water,a,12.7,,,,,,,,,\n\
         l,2026-07-14,Kame,done,count,,,,,,,,5,4,,\n\
         m,2026-07-14,Kame,done,count,,,,,,,,2,,xx.x,\n\
         n,2026-07-14,Kame,done,note,,,,,,,,,,,\n\
         o,2026-07-14,Kame,done,water,,12.7\n\
         p,2026-07-14,\"Kame,done,water,,12.7,,,,,,,,,,\n\
         q,2026-07-14,Kame,done,water,,,60,5 of 4,,,,,,,\n\
         z,2026-07-16,Kame,done,water,,10,,,,,,,,,the last one counts\n",
    );
    let ids: Vec<&str> = log.entries().iter().map(|e| e.id.as_str()).collect();
    assert_eq!(ids, ["a", "z"]);
    let expected = [
        "line 4 is not counted: cannot read date \"7/14/2026\": it is not a day written as year-month-day. Write it as 2026-07-14.",
        "line 5 is not counted: cannot read depth_mm \"0.5 in\": it is no number. Write digits and a decimal point, or call the column depth and write the unit behind the number.",
        "line 6 is not counted: depth and time of one watering are both given. Keep one of them.",
        "line 7 is not counted: what \"watring\" is not known. Did you mean \"watering\"? Known: \"water\", \"rain\", \"reading\", \"feeding\", \"count\", \"note\", \"strike\".",
        "line 8 is not counted: depth_mm is -3 mm: water depth must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm.",
        "line 9 is not counted: block is missing. An entry of water belongs to a block; only rain and notes may be of the whole farm.",
        "line 10 is not counted: what the reading says is missing. Fill one of feel, tension_kpa and water_content; write a second line for a second kind.",
        "line 11 is not counted: an entry of rain has no time_min, and \"60\" stands there. Move it; rain takes depth_mm.",
        "line 12 is not counted: its id \"a\" is that of line 3. Give it an id of its own, or name the other in \"of\" to correct it.",
        "line 13 is not counted: it repeats line 3. It counts once.",
        "line 14 is not counted: it stands for \"nobody\", and no line above has that id. Name the id of a line above it that counts, or leave \"of\" empty.",
        "line 15 is not counted: it is planned and stands for line 3, which is done. A plan cannot take the place of what was done.",
        "line 16 is not counted: 5 trees live of 4 planted. Correct one of the two counts.",
        "line 17 is not counted: the row shows 3 living trees of 4, and the count says 2 living of 4. Correct the row or the count.",
        "line 18 is not counted: note is missing. Write what is to be remembered.",
        "line 19 is not counted: it has 7 cells and the headings are 16. Give each line one cell for each heading; leave empty what it does not need.",
        "line 20 is not counted: a quotation mark in it is not closed. Close it, or double a mark that belongs to the text.",
        "line 21 is not counted: cannot read sets \"5 of 4\": it is no list of positions with their number. Write it as \"1-3 of 4\".",
    ];
    for (found, expected) in faults(&log).iter().zip(expected) {
        assert_eq!(found, expected);
    }
    assert_eq!(log.faults().len(), expected.len());
}

#[test]
fn what_is_no_log_is_refused_with_what_to_do() {
    let hint = "Its first line is: season log,1,NAME OF THE FARM. Give the file that the log is kept in.";
    for (text, why) in [
        ("", "it is empty"),
        ("date,rain\n2026-07-14,3\n", "it does not begin with \"season log\""),
        ("season log,2,Hill\nid\n", "its version 2 is newer than 1, the newest known here"),
        ("season log,one,Hill\nid\n", "it does not name its version"),
        ("season log,1,\nid\n", "it does not name its farm"),
        ("season log,1,Hill\n", "it has no headings"),
        ("season log\u{0}", "it is a binary file"),
    ] {
        let error = Log::parse(text, "log.csv").unwrap_err().to_string();
        assert!(error.starts_with("log.csv: cannot read the season log \"") && error.ends_with(&format!("{why}. {hint}")), "{error}");
    }
    let headings = |text: &str| Log::parse(&format!("season log,1,Hill\n{text}\n"), "log.csv").unwrap_err().to_string();
    assert!(
        headings("id,date,block,what,dpth_mm")
            .starts_with("log.csv, headings: heading \"dpth_mm\" is not known. Did you mean \"depth_mm\"")
    );
    assert_eq!(
        headings("id,date,what,note,note"),
        "log.csv, headings: 2 problems:\n  - the heading note stands twice. Keep one of the two columns.\n  - the heading block is missing. A log has at least the columns id, date, block, what."
    );
    assert!(Log::new(" ").is_err() && Log::new("a\nb").is_err());
}

#[test]
fn corrections_take_the_place_of_what_they_name() {
    let date = day("2026-07-14");
    let wet = |mm, of: Option<&str>| Entry { of: of.map(Into::into), ..Entry::done(date, "Kame", depth(mm)) };
    let log = log([
        Entry::planned(date, "Kame", depth(20.0)),
        wet(18.0, Some("2026-07-14-1")), // done as planned, or nearly
        wet(16.0, Some("2026-07-14-2")), // corrected
        wet(30.0, None),
        Entry { of: Some("2026-07-14-4".into()), ..Entry::done(date, "", What::Strike) },
        Entry::planned(date, "Pond field", depth(20.0)),
    ]);
    let counting: Vec<&What> = log.counting().iter().map(|e| &e.what).collect();
    assert_eq!(counting, [&depth(16.0)]);
    assert_eq!(log.open().iter().map(|e| e.id.as_str()).collect::<Vec<_>>(), ["2026-07-14-6"]);
    assert_eq!(log.open()[0].state, State::Planned);
}

#[test]
fn days_out_of_order_count_on_their_own_day_and_are_remarked() {
    let of = |date: &str, mm| Entry::done(day(date), "Kame", depth(mm));
    let log = log([of("2026-07-10", 10.0), of("2026-07-03", 8.0), of("2026-07-03", 8.0)]);
    assert_eq!(
        log.remarks(),
        [
            "line 4 (2026-07-03) stands below 2026-07-10; it counts on its own day",
            "line 5 (2026-07-03) stands below 2026-07-10; it counts on its own day",
            "line 5 says the same as line 4; both count. If it was one watering, strike \"2026-07-03-2\"",
        ]
    );
    let dates: Vec<String> = log.counting().iter().map(|e| e.date.to_string()).collect();
    assert_eq!(dates, ["2026-07-03", "2026-07-03", "2026-07-10"]);
}

#[test]
fn a_log_of_another_farm_is_refused() {
    let other = Log::new("Sandy Flat").unwrap();
    let refused = "season log: the season log is of the farm \"Sandy Flat\", and this farm is \"Kettle Hill (demo)\". \
                   Give this farm's log, or correct the name in the log's first line or in the farm file.";
    let farm = Farm::demo().unwrap();
    assert_eq!(farm.with_log(&other).unwrap_err().to_string(), refused);
    let options = PlanOptions { log: Some(other), ..PlanOptions::default() };
    let planned = plan(&farm, &Farm::demo_weather().unwrap(), Farm::demo_today().unwrap(), &options);
    assert_eq!(planned.unwrap_err().to_string(), refused);
}

#[test]
fn nothing_counts_twice() {
    let farm = Farm::demo().unwrap();
    let feel = Seen::Feel("moist".parse().unwrap());
    let twice = log([
        Entry::done(day("2026-07-12"), "south slope", minutes(70.0, None)),
        Entry::done(day("2026-07-12"), "South slope", What::Reading { soil_depth_m: 0.102, holes: 1, seen: feel }),
        Entry::done(day("2026-07-05"), "Kame", What::Rain { depth_mm: 0.0 }),
    ]);
    assert_eq!(
        farm.with_log(&twice).unwrap_err().to_string(),
        "3 problems:\n  \
         - season log, line 5: block \"Kame\" has a reading of the rain gauge of 2026-07-05 in the farm file too, and it would count twice. Take it out of the farm file, or strike \"2026-07-05-1\" in the log.\n  \
         - season log, line 3: block \"South slope\" has a watering of 2026-07-12 in the farm file too, and it would count twice. Take it out of the farm file, or strike \"2026-07-12-1\" in the log.\n  \
         - season log, line 4: block \"South slope\" has the same reading of 2026-07-12 in the farm file too, and it would count twice. Take it out of the farm file, or strike \"2026-07-12-2\" in the log."
    );
    // struck in the log, each counts once
    let strike = |id: &str| Entry { of: Some(id.into()), ..Entry::done(day("2026-07-13"), "", What::Strike) };
    let struck = ["2026-07-12-1", "2026-07-12-2", "2026-07-05-1"].into_iter().fold(twice, |log, id| log.with(strike(id)).unwrap());
    let logged = farm.with_log(&struck).unwrap();
    assert_eq!((logged.used, logged.farm), (0, farm.clone()));
    // two gauges of one day: the first counts, the second is told
    let rain = |block: &str, mm| Entry::done(day("2026-07-08"), block, What::Rain { depth_mm: mm });
    let logged = farm.with_log(&log([rain("", 6.0), rain("Kame", 2.0), rain("", 6.0), rain("Kame", 3.0)])).unwrap();
    assert_eq!(
        logged.notes,
        [
            "line 6 is not counted: the gauge has an entry for that day above it. Add the two if both fell, and strike one.",
            "line 5 is not counted: the farm's gauge has an entry for that day above it. Add the two if both fell, and strike one.",
        ]
    );
    let fell: Vec<f64> = logged.farm.blocks().iter().map(|b| b.block.rain.last().unwrap().depth_mm).collect();
    assert_eq!(fell, [6.0, 6.0, 6.0, 2.0]);
}

#[test]
fn planned_water_is_no_water() {
    let farm = Farm::demo().unwrap();
    let date = day("2026-07-13");
    let logged =
        farm.with_log(&log([Entry::planned(date, "Kame", depth(25.0)), Entry::planned(date, "Kame", minutes(60.0, None))])).unwrap();
    assert_eq!((logged.farm, logged.used, logged.notes.len()), (farm, 0, 0));
}

#[test]
fn a_pass_counts_when_all_its_sets_have_run_with_the_least_that_any_got() {
    let farm = Farm::demo().unwrap();
    let ran = |date: &str, time_min, sets| Entry::done(day(date), "Kame", minutes(time_min, Some(sets)));
    let watered = |log: &Log| {
        let logged = farm.with_log(log).unwrap();
        let kame = logged.farm.blocks()[3].block.watered.iter().map(|w| (w.date.to_string(), w.time_min)).collect::<Vec<_>>();
        (kame, logged.notes)
    };
    let begun = log([ran("2026-07-11", 60.0, "1-2 of 4"), ran("2026-07-12", 45.0, "3 of 4")]);
    let note = "\"Kame\": sets 1-3 of 4 have run since 2026-07-11; the pass counts when all 4 have".to_string();
    assert_eq!(watered(&begun), (vec![], vec![note]));
    let finished = begun.with(ran("2026-07-13", 50.0, "4 of 4")).unwrap();
    assert_eq!(watered(&finished), (vec![("2026-07-13".into(), Some(45.0))], vec![]));
    let pulses = log([ran("2026-07-13", 20.0, "1-4 of 4"), ran("2026-07-13", 25.0, "1-4 of 4")]);
    assert_eq!(watered(&pulses).0.iter().filter_map(|w| w.1).sum::<f64>(), 45.0);
}

#[test]
fn entries_of_unknown_blocks_are_told_and_the_rest_used() {
    let farm = Farm::demo().unwrap();
    let of = |block: &str| Entry::done(day("2026-07-13"), block, depth(10.0));
    let logged = farm.with_log(&log([of("Pond feild"), of("Pond field")])).unwrap();
    assert_eq!(logged.used, 1);
    assert_eq!(
        logged.notes,
        [
            "line 3 is not counted: block \"Pond feild\" is not known. Did you mean \"Pond field\"? Known: \"South slope\", \"Pond field\", \"Clay pocket\", \"Kame\"."
        ]
    );
}

#[test]
fn the_plan_uses_the_log_and_says_so() {
    let (farm, weather, today) = (Farm::demo().unwrap(), Farm::demo_weather().unwrap(), Farm::demo_today().unwrap());
    let made = |log| plan(&farm, &weather, today, &PlanOptions { log, ..PlanOptions::default() }).unwrap();
    let before = made(None);
    let text = log([
        Entry::done(today + -1, "Kame", depth(25.0)),
        Entry::done(today + -2, "Kame", What::Count { place: String::new(), living: 955, planted: None, row: None }),
    ]);
    let torn = Log::parse(&format!("{}2026-07-13-2,2026-07-13,Kame,do", text.text()), "log.csv").unwrap();
    let after = made(Some(torn));
    let (dry, wet) = (before.block("Kame").unwrap(), after.block("Kame").unwrap());
    assert!(wet.depletion_mm.value < dry.depletion_mm.value - 5.0, "{} {}", wet.depletion_mm.value, dry.depletion_mm.value);
    assert_eq!(wet.trees, Some(955));
    assert_eq!(after.block("Pond field").unwrap(), before.block("Pond field").unwrap());
    assert_eq!(after.log_notes.len(), 3, "{:?}", after.log_notes);
    let page = after.to_string();
    assert!(page.contains("Season log\n  2 entries count\n  line 5 is not counted: it breaks off after 4 of 21 cells."), "{page}");
    assert!(!before.to_string().contains("Season log"));
    let merged = farm.with_log(&text).unwrap();
    assert_eq!(plan(&merged.farm, &weather, today, &PlanOptions::default()).unwrap().blocks, after.blocks);
}

#[cfg(feature = "io")]
mod files {
    use super::*;
    use dibble::record::{append, read};

    fn folder(name: &str) -> std::path::PathBuf {
        let folder = std::env::temp_dir().join(format!("dibble-record-{name}-{}", std::process::id()));
        drop(std::fs::remove_dir_all(&folder));
        std::fs::create_dir_all(&folder).unwrap();
        folder
    }

    #[test]
    fn lines_are_added_and_what_stands_is_never_changed() {
        let path = folder("added").join("log.csv");
        let mut before = String::new();
        for entry in every_kind() {
            let written = append(&path, FARM, entry).unwrap();
            let now = std::fs::read_to_string(&path).unwrap();
            assert!(now.starts_with(&before) && now.ends_with('\n') && now.contains(&written.id));
            before = now;
        }
        assert_eq!(before, log(every_kind()).text());
        // cut off in the middle of the last line, as by a power failure
        std::fs::write(&path, &before[..before.len() - 30]).unwrap();
        let written = append(&path, FARM, Entry::done(day("2026-07-20"), "Kame", depth(5.0))).unwrap();
        let read = read(&path).unwrap();
        assert_eq!((read.entries().len(), read.faults().len(), read.entries()[11].id.as_str()), (12, 1, written.id.as_str()));
        std::fs::remove_dir_all(path.parent().unwrap()).unwrap();
    }

    #[test]
    fn nothing_is_written_where_nothing_can_be() {
        let folder = folder("refused");
        let path = folder.join("log.csv");
        append(&path, "Sandy Flat", Entry::done(day("2026-07-14"), "North", depth(5.0))).unwrap();
        let before = std::fs::read(&path).unwrap();
        assert!(append(&path, FARM, Entry::done(day("2026-07-14"), "Kame", depth(5.0))).unwrap_err().to_string().contains("Sandy Flat"));
        assert!(append(&path, "Sandy Flat", Entry::done(day("2026-07-14"), "North", depth(-5.0))).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), before);
        let nowhere = folder.join("absent").join("log.csv");
        let error = append(&nowhere, FARM, Entry::done(day("2026-07-14"), "Kame", depth(5.0))).unwrap_err();
        assert!(error.is_file() && error.to_string().starts_with(&format!("cannot write {}: ", nowhere.display())), "{error}");
        assert!(read(&nowhere).unwrap_err().to_string().starts_with(&format!("cannot read {}: ", nowhere.display())));
        std::fs::remove_dir_all(folder).unwrap();
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused_and_lines_never_vanish(body in "(?s)[\\x00-\\x7f]{0,300}") {
        if let Ok(log) = Log::parse(&format!("season log,1,Hill\nid,date,block,what,depth_mm,note\n{body}"), "log.csv") {
            let given = body.lines().filter(|l| !l.trim().is_empty()).count();
            prop_assert_eq!(log.entries().len() + log.faults().len(), given);
        }
    }

    #[test]
    fn any_words_and_numbers_come_back(note in "[^\\p{Cc}]{0,40}", block in "[^\\p{Cc}\\s][^\\p{Cc}]{0,10}", mm in 0.0..500.0f64) {
        let block = block.trim().to_string();
        prop_assume!(!block.is_empty());
        let entry = Entry { note: note.trim().into(), ..Entry::done(day("2026-07-14"), block, depth(mm)) };
        let log = log([entry.clone()]);
        prop_assert_eq!(log.entries(), &[Entry { id: "2026-07-14-1".into(), ..entry }]);
        prop_assert_eq!(log.entries()[0].what.kind(), Kind::Water);
    }
}
