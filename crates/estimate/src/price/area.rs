//! Lump sums by area of the yard: what a client reads, without quantities.

use rust_decimal::Decimal;

use super::{CostLine, CostedLine};

/// A total spread over areas by the cost of their lines, to the cent, in the order of their first lines.
///
/// What rounding leaves goes to the areas that lost most by it, so that the sums add up to the total.
/// Where no line costs anything, all areas bear the same.
pub(super) fn lump_sums(lines: &[CostLine], costed: &[CostedLine], total: Decimal) -> Vec<(String, Decimal)> {
    let mut areas: Vec<(String, Decimal)> = Vec::new();
    let mut places = std::collections::BTreeMap::new();
    for line in costed {
        let area = &lines[line.line].area;
        let place = *places.entry(area).or_insert_with(|| {
            areas.push((area.clone(), Decimal::ZERO));
            areas.len() - 1
        });
        areas[place].1 += line.cost();
    }
    let mut whole: Decimal = areas.iter().map(|(_, cost)| *cost).sum();
    if whole.is_zero() {
        for (_, cost) in &mut areas {
            *cost = Decimal::ONE;
        }
        whole = Decimal::from(areas.len());
    }
    let exact: Vec<Decimal> = areas.iter().map(|(_, cost)| total * (cost / whole)).collect();
    let mut order: Vec<usize> = (0..areas.len()).collect();
    order.sort_by_key(|i| (std::cmp::Reverse(exact[*i] - exact[*i].trunc_with_scale(2)), *i));
    for (area, exact) in areas.iter_mut().zip(&exact) {
        area.1 = exact.trunc_with_scale(2);
        area.1.rescale(2);
    }
    let mut left = total - areas.iter().map(|(_, sum)| *sum).sum::<Decimal>();
    let cent = Decimal::new(1, 2);
    for i in order {
        if left < cent {
            break;
        }
        areas[i].1 += cent;
        left -= cent;
    }
    areas
}
