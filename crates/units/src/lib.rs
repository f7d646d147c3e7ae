//! Lengths, areas, flows, money: parsed as the trade writes them, SI inside.
