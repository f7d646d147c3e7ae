//! Priority rules: which activity goes first where several could.
//!
//! Source: the rules compared by Kolisch 1996; regret-biased sampling after Drexl 1991.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::problem::Layout;
use crate::random::Random;

/// A rule by which activities go first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rule {
    /// Latest start first come: those with the longest way to the end.
    LatestStart,
    /// Latest finish.
    LatestFinish,
    /// Most activities waiting for it, directly or not.
    MostSuccessors,
    /// Greatest time of itself and of those directly waiting for it.
    RankWeight,
}

pub(crate) const RULES: [Rule; 4] =
    [Rule::LatestFinish, Rule::LatestStart, Rule::MostSuccessors, Rule::RankWeight];

/// Small goes first.
pub(crate) fn keys(layout: &Layout, rule: Rule) -> Vec<i32> {
    let n = layout.n;
    match rule {
        Rule::LatestStart => layout.tails.iter().map(|tail| -tail).collect(),
        Rule::LatestFinish => (0..n).map(|i| layout.durations[i] - layout.tails[i]).collect(),
        Rule::MostSuccessors => successors(layout).into_iter().map(|count| -count).collect(),
        Rule::RankWeight => (0..n)
            .map(|i| {
                let waiting = layout.out[i].iter().map(|&(later, _)| i64::from(layout.durations[later]));
                -(i64::from(layout.durations[i]) + waiting.sum::<i64>()).min(i64::from(i32::MAX)) as i32
            })
            .collect(),
    }
}

/// How many activities wait for each, directly or not.
fn successors(layout: &Layout) -> Vec<i32> {
    let words = layout.n.div_ceil(64);
    let mut reached = vec![0_u64; layout.n * words];
    for &i in layout.order.iter().rev() {
        for &(later, _) in &layout.out[i] {
            reached[i * words + later / 64] |= 1 << (later % 64);
            for w in 0..words {
                reached[i * words + w] |= reached[later * words + w];
            }
        }
    }
    reached.chunks(words.max(1)).map(|row| row.iter().map(|w| w.count_ones().cast_signed()).sum()).collect()
}

/// All activities, each after those it waits for, small keys first.
pub(crate) fn list_by_keys(layout: &Layout, keys: &[i32]) -> Vec<usize> {
    let mut waits: Vec<usize> = layout.into.iter().map(Vec::len).collect();
    let mut ready: BinaryHeap<Reverse<(i32, usize)>> =
        (0..layout.n).filter(|&i| waits[i] == 0).map(|i| Reverse((keys[i], i))).collect();
    let mut list = Vec::with_capacity(layout.n);
    while let Some(Reverse((_, i))) = ready.pop() {
        list.push(i);
        for &(later, _) in &layout.out[i] {
            waits[later] -= 1;
            if waits[later] == 0 {
                ready.push(Reverse((keys[later], later)));
            }
        }
    }
    list
}

/// A list drawn at random, in which those that a rule would put first are likely to come early.
pub(crate) fn sampled(layout: &Layout, keys: &[i32], random: &mut Random) -> Vec<usize> {
    let mut waits: Vec<usize> = layout.into.iter().map(Vec::len).collect();
    let mut ready: Vec<usize> = (0..layout.n).filter(|&i| waits[i] == 0).collect();
    let mut list = Vec::with_capacity(layout.n);
    while !ready.is_empty() {
        let worst = ready.iter().map(|&i| keys[i]).max().unwrap_or(0);
        let regret = |i: usize| f64::from(worst - keys[i]) + 1.0;
        let mut draw = random.share() * ready.iter().map(|&i| regret(i)).sum::<f64>();
        let chosen = ready.iter().position(|&i| {
            draw -= regret(i);
            draw < 0.0
        });
        let i = ready.swap_remove(chosen.unwrap_or(ready.len() - 1));
        list.push(i);
        for &(later, _) in &layout.out[i] {
            waits[later] -= 1;
            if waits[later] == 0 {
                ready.push(later);
            }
        }
    }
    list
}
