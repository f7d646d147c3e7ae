//! Plants keep to their sizes, differ by seed, and follow the year.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use glam::Vec3A;
use groundwright_plan::stock::{Foliage, PlantKind, Stock, Taxon};
use groundwright_plan::{Sources, TaxonId, read_project};
use groundwright_scenery::plant::{Build, Grown, grow, of_taxon, unknown};
use groundwright_scenery::{Palette, Shape, flower_colour, leaf_colour};

/// The stock that ships, as a project reads it.
fn stock() -> &'static Stock {
    static STOCK: OnceLock<Stock> = OnceLock::new();
    STOCK.get_or_init(|| {
        let property = "format = 1\nunits = \"m\"\nname = \"stock\"\n".to_owned();
        let sources = Sources { property: Some(property), ..Sources::default() };
        read_project(sources).expect("a project").project.stock.clone()
    })
}

/// A taxon of a kind, at its mature size, on a day of June.
fn june(taxon: &Taxon, palette: &mut Palette) -> Grown {
    let size = [taxon.mature_height(), taxon.mature_spread() / 2.0];
    of_taxon(taxon, palette, size, None, None, (6, 170.0, false))
}

fn bounds(shape: &Shape) -> (Vec3A, Vec3A) {
    let corners = shape.triangles.iter().flat_map(|(corners, _)| corners);
    corners.fold((Vec3A::INFINITY, Vec3A::NEG_INFINITY), |(low, high), at| (low.min(*at), high.max(*at)))
}

fn area(shape: &Shape, materials: &[u16]) -> f32 {
    let of = |[a, b, c]: &[Vec3A; 3]| (*b - *a).cross(*c - *a).length() * 0.5;
    shape.triangles.iter().filter(|(_, m)| materials.contains(m)).map(|(corners, _)| of(corners)).sum()
}

#[test]
fn every_taxon_grows_about_as_large_as_it_is_told() {
    let mut builds = BTreeSet::new();
    let mut odd = Vec::new();
    for taxon in stock().taxa.values() {
        let mut palette = Palette::default();
        let grown = june(taxon, &mut palette);
        builds.insert(format!("{:?}", grown.build));
        let shape = grow(&grown, (&taxon.id.to_string(), 0), 12_000);
        assert!(!shape.triangles.is_empty(), "{} has no body", taxon.id);
        assert!(
            shape.triangles.iter().all(|(corners, _)| corners.iter().all(|c| c.is_finite())),
            "{}",
            taxon.id
        );
        let (low, high) = bounds(&shape);
        let height = high.z / grown.height;
        let reach = high.truncate_max().max((-low).truncate_max()) / grown.radius;
        let good = low.z > -0.4 && (0.6..1.4).contains(&height) && (0.45..1.5).contains(&reach);
        if !good {
            odd.push(format!(
                "{}: from {:.2} m, {height:.2} of its height, {reach:.2} of its radius",
                taxon.id, low.z
            ));
        }
    }
    assert!(odd.is_empty(), "{}", odd.join("\n"));
    let all = ["Blades", "Fern", "Mound", "Needles", "Palm", "Straps", "Woody"];
    assert_eq!(builds.into_iter().collect::<Vec<_>>(), all);
}

trait Level {
    fn truncate_max(self) -> f32;
}

impl Level for Vec3A {
    fn truncate_max(self) -> f32 {
        self.x.max(self.y)
    }
}

#[test]
fn the_same_seed_grows_the_same_plant_and_another_another() {
    let taxon = stock().taxa.values().find(|taxon| taxon.kind == PlantKind::Tree).expect("a tree");
    let mut palette = Palette::default();
    let grown = june(taxon, &mut palette);
    let of = |seed| grow(&grown, ("oak", seed), 2000).triangles;
    assert_eq!(of(1), of(1));
    assert_ne!(of(1), of(2));
}

#[test]
fn leaves_cover_what_their_index_says_however_many_there_may_be() {
    let mut palette = Palette::default();
    let grown = unknown(&mut palette, [6.0, 2.5], 1.5, None);
    let ground = std::f32::consts::PI * 2.5 * 2.5;
    for most in [2_000, 20_000] {
        let shape = grow(&grown, ("tree", 1), most);
        let index = area(&shape, &[grown.paint.leaf, grown.paint.second]) / ground;
        // 3.4, and a little more, as leaves are folded and of several lengths.
        assert!((2.9..4.2).contains(&index), "{most}: {index}");
    }
}

#[test]
fn what_drops_its_leaves_stands_bare_in_winter_and_turns_before() {
    let deciduous =
        |taxon: &&Taxon| taxon.kind == PlantKind::Tree && taxon.foliage == Some(Foliage::Deciduous);
    let taxon = stock().taxa.values().find(deciduous).expect("a deciduous tree");
    let size = [8.0, 3.0];
    let mut palette = Palette::default();
    let winter = of_taxon(taxon, &mut palette, size, None, None, (1, 15.0, false));
    let summer = of_taxon(taxon, &mut palette, size, None, None, (7, 190.0, false));
    let south = of_taxon(taxon, &mut palette, size, None, None, (1, 15.0, true));
    let autumn = of_taxon(taxon, &mut palette, size, None, None, (10, 298.0, false));
    let leaves =
        |grown: &Grown| area(&grow(grown, ("tree", 1), 4000), &[grown.paint.leaf, grown.paint.second]);
    assert!(leaves(&winter) == 0.0 && leaves(&summer) > 50.0 && leaves(&south) > 50.0);
    // Bark remains.
    assert!(area(&grow(&winter, ("tree", 1), 4000), &[winter.paint.bark]) > 1.0);
    let colour = |grown: &Grown| palette.materials[usize::from(grown.paint.leaf)].reflectance;
    let (green, turned) = (colour(&summer), colour(&autumn));
    assert!(green.y > green.x && turned.x > turned.y, "{green} turned {turned}");
}

#[test]
fn flowers_are_out_in_their_months() {
    let blooming = |taxon: &&Taxon| taxon.bloom == Some((5, 7)) && taxon.kind == PlantKind::Perennial;
    let taxon = stock().taxa.values().find(blooming).expect("a perennial that flowers from May to July");
    let mut palette = Palette::default();
    let mut flowers = |month, day| {
        let grown = of_taxon(taxon, &mut palette, [0.5, 0.25], None, None, (month, day, false));
        area(&grow(&grown, ("perennial", 1), 1000), &[grown.paint.flower])
    };
    assert!(flowers(6, 170.0) > 0.0);
    assert!(flowers(9, 260.0) == 0.0);
}

#[test]
fn strap_leaves_ferns_and_palms_are_built_as_such() {
    let mut palette = Palette::default();
    for (id, build) in [("polystichum-munitum", Build::Fern), ("hemerocallis-cvs", Build::Straps)] {
        let Some(taxon) = stock().taxa.get(&TaxonId(id.to_owned())) else { continue };
        assert_eq!(june(taxon, &mut palette).build, build, "{id}");
    }
    let palm = stock().taxa.values().find(|taxon| taxon.kind == PlantKind::Palm).expect("a palm");
    let grown = june(palm, &mut palette);
    assert_eq!(grown.build, Build::Palm);
    assert!(grown.clear > 0.4 * grown.height);
}

#[test]
fn every_colour_of_the_stock_is_known_and_no_leaf_makes_light() {
    let mut palette = Palette::default();
    for taxon in stock().taxa.values() {
        let grown = june(taxon, &mut palette);
        for number in [grown.paint.leaf, grown.paint.second, grown.paint.flower, grown.paint.bark] {
            let material = &palette.materials[usize::from(number)];
            assert!((material.reflectance + material.transmittance).max_element() < 1.0, "{}", taxon.id);
        }
    }
    // A word that is not known is taken as green or white; those of the stock are told apart.
    let leaves: BTreeSet<&str> = stock().taxa.values().map(|taxon| taxon.leaf_colour.as_str()).collect();
    let apart: BTreeSet<String> = leaves.iter().map(|word| leaf_colour(word).to_string()).collect();
    assert_eq!(leaves.len(), apart.len(), "{leaves:?}");
    let flowers: BTreeSet<&str> = stock()
        .taxa
        .values()
        .map(|taxon| taxon.bloom_colour.as_str())
        .filter(|word| !word.is_empty())
        .collect();
    let apart: BTreeSet<String> = flowers.iter().map(|word| flower_colour(word).to_string()).collect();
    assert_eq!(flowers.len(), apart.len(), "{flowers:?}");
}
