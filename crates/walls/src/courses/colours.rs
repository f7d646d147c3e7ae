//! Colours and pallets of the units laid.
//!
//! - In: units in the order in which they are laid. Out: each with a colour and the pallet it comes from.
//! - Colours are given out to the one that is furthest behind its share, moved by a small draw, and never
//!   three times in a row: blending from several pallets at once, as makers ask for; common practice,
//!   no source.

use super::Unit;
use super::fill::drawn;
use super::system::UnitSystem;

pub(super) fn colour(units: &mut [Unit], system: &UnitSystem, seed: u64) {
    let sum: f64 = system.colours.iter().sum();
    let mut counts = vec![0.0; system.colours.len()];
    let mut of_kind = vec![0_usize; system.kinds.len() + 1];
    let mut last = [usize::MAX; 2];
    for (i, unit) in units.iter_mut().enumerate() {
        let best = (0..counts.len())
            .filter(|c| counts.len() == 1 || last != [*c; 2])
            .max_by(|a, b| {
                let behind = |c: usize| {
                    system.colours[c] / sum * (i + 1) as f64 - counts[c]
                        + 1.5 * drawn(seed, i as u64, c as u64)
                };
                behind(*a).total_cmp(&behind(*b))
            })
            .unwrap_or(0);
        if let Some(count) = counts.get_mut(best) {
            *count += 1.0;
        }
        last = [last[1], best];
        unit.colour = best;
        let per_pallet = system.kinds.get(unit.kind).map_or(0, |kind| kind.pallet);
        unit.pallet = of_kind[unit.kind].checked_div(per_pallet).unwrap_or(0);
        of_kind[unit.kind] += 1;
    }
}
