//! Plant lists against trying every list.

use std::collections::BTreeMap;

use groundwright_plan::stock::{Taxon, embedded};
use groundwright_plan::{Stock, TaxonId};
use groundwright_planting::choose::{ChooseFault, Wishes, plant_lists};
use groundwright_planting::suited::{Site, better_suited};

fn site() -> Site {
    Site {
        sun: Some(4.5),
        full_sun: 6.0,
        part_sun: 3.0,
        zone: 8,
        wet_winter: false,
        water: None,
        children_or_pets: false,
    }
}

fn wishes() -> Wishes {
    Wishes {
        taxa: 3,
        months: vec![3, 5, 7, 9],
        height: 1.5,
        spread: 2.0,
        colours: Vec::new(),
        evergreen: 1,
        native: None,
        climate: None,
        on_offer: Vec::new(),
        prices: BTreeMap::new(),
        answers: 3,
    }
}

/// Every twelfth taxon of the stock: few enough to try all lists of three.
fn few() -> Stock {
    let mut stock = embedded().clone();
    let kept: BTreeMap<TaxonId, Taxon> = stock.taxa.clone().into_iter().step_by(6).collect();
    stock.taxa = kept;
    stock
}

/// The merit of the list found is that of the best of all lists: each list of three is asked for by
/// itself, offering nothing else, so that its merit comes from the same scale but not from the search.
#[test]
fn the_first_list_is_the_best_of_all() {
    let (stock, site) = (few(), site());
    let best = plant_lists(&stock, &site, &wishes()).unwrap().remove(0);
    let ids: Vec<TaxonId> = stock.taxa.keys().cloned().collect();
    let able: Vec<TaxonId> = ids.into_iter().filter(|id| site.against(&stock.taxa[id]).is_none()).collect();
    let mut tried = 0;
    for (i, a) in able.iter().enumerate() {
        for (j, b) in able.iter().enumerate().skip(i + 1) {
            for c in able.iter().skip(j + 1) {
                let only = Wishes { on_offer: vec![a.clone(), b.clone(), c.clone()], answers: 1, ..wishes() };
                if let Ok(lists) = plant_lists(&stock, &site, &only) {
                    tried += 1;
                    assert!(lists[0].merit <= best.merit + 1e-4, "{:?} beats {best:?}", lists[0]);
                }
            }
        }
    }
    assert!(tried > 100, "{tried}");
}

#[test]
fn lists_differ_in_two_and_keep_one_of_a_genus() {
    let lists = plant_lists(embedded(), &site(), &Wishes { taxa: 5, ..wishes() }).unwrap();
    assert_eq!(lists.len(), 3);
    for (i, one) in lists.iter().enumerate() {
        let mut genera: Vec<&str> = one
            .choices
            .iter()
            .map(|c| embedded().taxa[&c.taxon].botanical.split(' ').next().unwrap())
            .collect();
        genera.sort_unstable();
        genera.dedup();
        assert_eq!(genera.len(), 5);
        assert!(one.choices.iter().all(|choice| !choice.reasons.is_empty()));
        for other in &lists[i + 1..] {
            let same =
                one.choices.iter().filter(|c| other.choices.iter().any(|d| d.taxon == c.taxon)).count();
            assert!(same <= 3);
        }
    }
    assert!(lists.windows(2).all(|pair| pair[0].merit >= pair[1].merit - 1e-4));
}

#[test]
fn wishes_that_cannot_be_say_why() {
    let fault = |wishes: Wishes| plant_lists(embedded(), &site(), &wishes).unwrap_err();
    assert!(matches!(fault(Wishes { taxa: 0, ..wishes() }), ChooseFault::Wish { .. }));
    assert!(matches!(fault(Wishes { months: vec![13], ..wishes() }), ChooseFault::Wish { .. }));
    assert!(matches!(fault(Wishes { height: f64::NAN, ..wishes() }), ChooseFault::Wish { .. }));
    let text = fault(Wishes { height: 0.001, ..wishes() }).to_string();
    assert!(text.contains("grows too large") && text.contains("loosen"), "{text}");
}

/// What stands for another is as evergreen where it can be, of like size, and lives there.
#[test]
fn what_stands_for_another_keeps_its_layer() {
    let stock = embedded();
    let lavender = &stock.taxa[&TaxonId("lavandula-angustifolia".to_owned())];
    let shade = Site { sun: Some(1.5), ..site() };
    let others = better_suited(stock, lavender, &shade);
    assert!(!others.is_empty());
    for other in &others {
        assert_eq!(shade.against(other.taxon), None);
        let ratio = other.taxon.mature_height() / lavender.mature_height();
        assert!((0.6..1.65).contains(&ratio), "{}", other.taxon.id);
    }
    assert!(others.windows(2).all(|pair| pair[0].score >= pair[1].score));
}
