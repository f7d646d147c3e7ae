//! The stock that ships: readable as a project's own stock is, consistent, plausible, and in
//! agreement with the lists that were read.

use std::collections::{BTreeMap, BTreeSet};

use groundwright_plan::stock::{ContainerForm, FILES, PlantKind, Taxon, embedded};
use groundwright_plan::{Sources, Word, read_project};

const PROPERTY: &str = "format = 1\nunits = \"m\"\nname = \"Corner lot\"\n";

/// Every shipped file goes the way of a project's own file, so no fault of it can stay hidden.
#[test]
fn every_file_reads_without_fault() {
    for (name, text) in FILES {
        let sources = Sources {
            property: Some(PROPERTY.to_owned()),
            stock: vec![(format!("stock/{name}"), (*text).to_owned())],
            ..Sources::default()
        };
        let faults = read_project(sources).err().unwrap_or_default();
        let list: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert!(list.is_empty(), "{}", list.join("\n"));
    }
}

/// Nothing is lost between the files and the stock: as many entries as table headings.
#[test]
fn every_table_of_the_files_is_in_the_stock() {
    let headings = |name: &str| -> usize {
        let heading = format!("[[{name}]]");
        FILES.iter().flat_map(|(_, text)| text.lines()).filter(|line| line.trim() == heading).count()
    };
    let stock = embedded();
    assert!(stock.taxa.len() >= 120, "{} taxa", stock.taxa.len());
    assert_eq!(stock.taxa.len(), headings("plant"));
    assert_eq!(stock.containers.len(), headings("container"));
    assert_eq!(stock.mulches.len(), headings("mulch"));
    assert_eq!(stock.amendments.len(), headings("amendment"));
    assert_eq!(stock.fertilisers.len(), headings("fertiliser"));
    assert_eq!(stock.edgings.len(), headings("edging"));
    assert_eq!(stock.turf.len(), headings("sod") + headings("seed"));
}

/// The files that ship are those of the folder: a new file cannot be forgotten.
#[test]
fn every_file_of_the_stock_folder_ships() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../stock");
    let mut found = BTreeSet::new();
    for (below, prefix) in [(folder.clone(), ""), (folder.join("plants"), "plants/")] {
        for entry in std::fs::read_dir(below).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            if name.to_lowercase().ends_with(".toml") {
                found.insert(format!("{prefix}{name}"));
            }
        }
    }
    let shipped: BTreeSet<String> = FILES.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(found, shipped);
}

#[test]
fn every_size_of_a_plant_is_a_container() {
    let stock = embedded();
    for taxon in stock.taxa.values() {
        for size in &taxon.sizes {
            assert!(stock.containers.contains_key(size), "{}: no container `{size}`", taxon.id);
        }
        assert_eq!(taxon.sizes.is_empty(), taxon.weed, "{}: weeds are not sold, all else is", taxon.id);
        let distinct: BTreeSet<&String> = taxon.sizes.iter().collect();
        assert_eq!(distinct.len(), taxon.sizes.len(), "{}: a size stands twice", taxon.id);
    }
}

/// A plant can be drawn at its purchase size only where the container knows its kind. A dry bulb
/// has no size above the ground.
#[test]
fn every_size_knows_the_kind_of_plant_sold_in_it() {
    let stock = embedded();
    for taxon in stock.taxa.values() {
        for size in &taxon.sizes {
            let container = &stock.containers[size];
            if container.form == ContainerForm::Bulb {
                assert_eq!(taxon.kind, PlantKind::Bulb, "{} is sold as a bulb", taxon.id);
                continue;
            }
            let spread = container.spread_at_purchase(taxon);
            let height = container.height_at_purchase(taxon);
            assert!(
                spread.is_some_and(|s| s >= 0.0) && height.is_some(),
                "{} in {size}: size unknown",
                taxon.id
            );
        }
    }
}

/// Sizes run from the smallest up, as the schedule and the default size expect.
#[test]
fn sizes_are_listed_smallest_first() {
    let stock = embedded();
    for taxon in stock.taxa.values() {
        let mut by_form: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
        for size in &taxon.sizes {
            let container = &stock.containers[size];
            by_form.entry(container.form.word()).or_default().extend(container.usual_volume());
        }
        for (form, volumes) in by_form {
            assert!(volumes.is_sorted(), "{}: {form} sizes {volumes:?}", taxon.id);
        }
    }
}

/// Most height in spreads, and most spread in heights, of the middle of a mature plant, by kind:
/// common practice, no source. A slip of a digit or of a unit passes these by far.
fn proportions(kind: PlantKind) -> (f64, f64) {
    match kind {
        PlantKind::Conifer | PlantKind::Tree | PlantKind::Shrub => (8.0, 8.0),
        PlantKind::Palm => (8.0, 3.0),
        PlantKind::Vine => (8.0, 15.0),
        PlantKind::Groundcover => (2.0, 15.0),
        PlantKind::Bulb => (6.0, 2.0),
        _ => (5.0, 5.0),
    }
}

#[test]
fn sizes_are_those_of_plants() {
    for taxon in embedded().taxa.values() {
        let Taxon { id, height, spread, kind, spacing, zones, bloom, .. } = taxon;
        let (tall, wide) = proportions(*kind);
        let slender = taxon.mature_height() / taxon.mature_spread();
        assert!(slender <= tall && slender >= 1.0 / wide, "{id}: height {height:?} m, spread {spread:?} m");
        assert!(height.1 / height.0 <= 6.0 && spread.1 / spread.0 <= 6.0, "{id}: {height:?} {spread:?}");
        if let Some(spacing) = spacing {
            // Runners are set far closer than they spread; of weeds it says how far apart they stand.
            let least = if *kind == PlantKind::Groundcover || taxon.weed { 0.08 } else { 0.3 };
            let share = spacing / taxon.mature_spread();
            assert!((least..=1.7).contains(&share), "{id}: spacing {spacing} m, spread {spread:?} m");
        }
        let (low, high) = zones.unwrap_or((1, 13));
        assert!(low >= 1 && high <= 13 && low <= high, "{id}: zones {zones:?}");
        if let Some((first, last)) = bloom {
            assert!((1..=12).contains(first) && (1..=12).contains(last), "{id}: {bloom:?}");
            assert_eq!(
                (1..=12).filter(|&month| taxon.blooms_in(month)).count(),
                months(*first, *last),
                "{id}"
            );
        }
    }
}

/// Months from first to last, inclusive; a span that ends before it begins runs over December.
fn months(first: u8, last: u8) -> usize {
    usize::from((last + 12 - first) % 12) + 1
}

/// Greatest heights that the kinds reach in a yard: common practice, no source.
#[test]
fn kinds_keep_to_their_heights() {
    for taxon in embedded().taxa.values() {
        let tallest = match taxon.kind {
            PlantKind::Tree | PlantKind::Conifer => 70.0,
            PlantKind::Shrub | PlantKind::Grass => 9.0,
            PlantKind::Palm | PlantKind::Vine => 30.0,
            PlantKind::Perennial | PlantKind::Annual => 4.0,
            PlantKind::Fern | PlantKind::Bulb => 2.5,
            PlantKind::Groundcover => 1.3,
        };
        assert!(
            taxon.height.1 <= tallest,
            "{} of {} m is no {}",
            taxon.id,
            taxon.height.1,
            taxon.kind.word()
        );
    }
}

#[test]
fn words_of_plants_come_from_their_lists() {
    type WordsOf = fn(&Taxon) -> Vec<&str>;
    let lists: [(&str, WordsOf, &[&str]); 5] = [
        ("salt", |taxon| vec![&taxon.salt], &["low", "medium", "high", "unknown", ""]),
        ("drought", |taxon| vec![&taxon.drought], &["low", "medium", "high", "unknown", ""]),
        ("confidence", |taxon| vec![&taxon.confidence], &["low", "medium", "high"]),
        (
            "toxicity",
            |taxon| vec![&taxon.toxicity],
            &["none known", "dogs", "people", "people and dogs", "irritant", "unknown"],
        ),
        (
            "climates",
            |taxon| taxon.climates.iter().map(String::as_str).collect(),
            &["warm-humid", "temperate", "cool", "dry-summer"],
        ),
    ];
    for taxon in embedded().taxa.values() {
        for (field, words, known) in &lists {
            for word in words(taxon) {
                assert!(known.contains(&word), "{}: {field} `{word}`", taxon.id);
            }
        }
    }
}

/// Ids are made of the botanical name, so that a person can guess one and the search can find it.
#[test]
fn a_plant_is_known_by_one_id_and_one_botanical_name() {
    let mut names = BTreeSet::new();
    for taxon in embedded().taxa.values() {
        assert!(names.insert(&taxon.botanical), "{} stands twice", taxon.botanical);
        let name = taxon.botanical.strip_prefix("x ").unwrap_or(&taxon.botanical);
        let genus = name.split(' ').next().unwrap().to_lowercase();
        assert!(taxon.id.as_str().starts_with(&genus), "{} is not {}", taxon.id, taxon.botanical);
        assert!(groundwright_plan::ElementId::is_valid(taxon.id.as_str()), "{}", taxon.id);
    }
}

/// Loose materials: settling, bags and densities that can be. Densities between dry bark and wet
/// stone, from 100 to 2,400 kg/m³: common practice, no source.
#[test]
fn materials_can_be_lifted() {
    let stock = embedded();
    // Mulch lies on the ground; a mix may fill a box.
    let mulches = stock.mulches.values().map(|mulch| (&mulch.loose, 0.3));
    let amendments = stock.amendments.values().map(|amendment| (&amendment.loose, 0.9));
    for (product, deepest) in mulches.chain(amendments) {
        let id = &product.id;
        assert!(product.settles.is_none_or(|share| (0.0..0.6).contains(&share)), "{id}");
        assert!(product.bags.iter().all(|bag| (0.005..0.12).contains(bag)), "{id}: {:?}", product.bags);
        if let Some((low, high)) = product.density {
            assert!(low >= 100.0 && high <= 2400.0, "{id}: {low} to {high} kg/m³");
        }
        if let Some((_, deep)) = product.depth {
            assert!(deep <= deepest, "{id}: {deep} m");
        }
    }
    for feed in stock.fertilisers.values() {
        assert!(feed.shares.iter().sum::<f64>() <= 1.0, "{}: {:?}", feed.id, feed.shares);
    }
    for edging in stock.edgings.values() {
        if let Some(piece) = edging.piece {
            assert!(edging.overlap < piece, "{}", edging.id);
        }
    }
}

fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(Result::unwrap).collect()
}

/// Sizes, zones and months of `plants-seed.csv` are those of the stock; see `data/README.md` for
/// what that can show.
#[test]
fn sizes_agree_with_the_list_they_were_written_from() {
    let stock = embedded();
    let mut compared = 0;
    for row in rows(include_str!("../data/plants-seed.csv")) {
        let name = &row["botanical_name"];
        let taxon = stock.by_botanical_name(name).unwrap_or_else(|| panic!("{name} is not in the stock"));
        compared += 1;
        let number = |column: &str| row[column].parse::<f64>().unwrap();
        let sizes = [taxon.height.0, taxon.height.1, taxon.spread.0, taxon.spread.1];
        let listed = ["height_min_m", "height_max_m", "spread_min_m", "spread_max_m"].map(number);
        assert!(
            sizes.iter().zip(listed).all(|(ours, theirs)| (ours - theirs).abs() < 1e-9),
            "{name}: {sizes:?} {listed:?}"
        );
        let (low, high) = taxon.zones.unwrap();
        let zones: [u8; 2] = ["zone_min", "zone_max"].map(|column| row[column].parse().unwrap());
        assert_eq!([low, high], zones, "{name}");
        let kind = match taxon.kind {
            // The list knows no conifers and no ferns.
            PlantKind::Conifer if row["kind"] == "tree" => "tree",
            PlantKind::Fern => "perennial",
            other => other.word(),
        };
        assert_eq!(kind, row["kind"], "{name}");
        let sun: Vec<&str> = taxon.sun.iter().map(|light| light.word()).collect();
        assert_eq!(sun.join("|"), row["sun"], "{name}");
        let bloom =
            taxon.bloom.map(|(first, last)| (first.to_string(), last.to_string())).unwrap_or_default();
        assert_eq!(bloom, (row["bloom_first_month"].clone(), row["bloom_last_month"].clone()), "{name}");
        assert_eq!(taxon.spacing, row["spacing_m"].parse().ok(), "{name}");
    }
    assert_eq!(compared, 168, "rows of the list");
}

/// Whether a row's name, a species or a genus (`Taxus spp.`, `Gelsemium (Carolina jasmine)`),
/// means a taxon.
fn means(listed: &str, botanical: &str) -> bool {
    let plain = listed.split(" (").next().unwrap_or(listed);
    match plain.strip_suffix(" spp.") {
        Some(genus) => botanical.split(' ').next() == Some(genus),
        None if !plain.contains(' ') => botanical.split(' ').next() == Some(plain),
        None => botanical == plain || botanical.strip_prefix(plain).is_some_and(|rest| rest.starts_with(' ')),
    }
}

/// Every listed plant that the stock has is marked at least as dangerous as the list says.
#[test]
fn toxic_plants_are_marked_as_the_lists_that_were_read_say() {
    let mut met = BTreeSet::new();
    for row in rows(include_str!("../data/toxic-and-invasive.csv")) {
        if row["fact"] != "toxic" {
            continue;
        }
        for taxon in embedded().taxa.values().filter(|taxon| means(&row["botanical_name"], &taxon.botanical))
        {
            met.insert(row["botanical_name"].clone());
            for whom in ["people", "dogs"] {
                if row["who_or_where"].contains(whom) {
                    assert!(
                        taxon.toxicity.contains(whom),
                        "{}: `{}`, listed: {whom}",
                        taxon.id,
                        taxon.toxicity
                    );
                }
            }
            assert!(taxon.toxicity_source.contains("read"), "{}: names no source", taxon.id);
        }
    }
    assert!(met.len() >= 6, "the stock has {met:?}");
}

#[test]
fn invasive_plants_are_marked_as_the_lists_that_were_read_say() {
    let mut met = BTreeSet::new();
    for row in rows(include_str!("../data/toxic-and-invasive.csv")) {
        if row["fact"] != "invasive" {
            continue;
        }
        let place = ["Florida", "Pennsylvania"].into_iter().find(|place| row["who_or_where"].contains(place));
        let place = place.unwrap_or_else(|| panic!("{row:?}"));
        for taxon in embedded().taxa.values().filter(|taxon| means(&row["botanical_name"], &taxon.botanical))
        {
            met.insert(row["botanical_name"].clone());
            assert!(taxon.invasive.contains(place), "{}: `{}`, listed in {place}", taxon.id, taxon.invasive);
        }
    }
    assert!(met.len() >= 6, "the stock has {met:?}");
}
