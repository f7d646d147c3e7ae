//! `cargo xtask bench-water [--against PYTHON]`: irrigation of whole yards, networks, catch grids.
//!
//! - In: the corner-lot demo laid side by side up to ten times; looped networks of a thousand and ten
//!   thousand nodes with a head at every second; a thousand heads on a lawn. Out: a table.
//! - Against: EPANET 2.2 (public domain) through the package wntr, its own solve alone, on the same
//!   networks in the same run, started from nothing; the heads of both are compared.
//! - The best of three runs, of five there.

use std::fmt::Write as _;
use std::time::Instant;

use groundwright_geometry::{Point, Region};
use groundwright_handoff::{Study, When};
use groundwright_job::Job;
use groundwright_water::{
    Emitter, Friction, Head, Link, Network, Node, Part, Profile, Supply, WATER, Wind, Year, catch_grid, solve,
};

use crate::bench::{demo, tile};
use crate::page;

/// Lots side by side.
const LOTS: [usize; 3] = [1, 3, 10];
/// Nodes along the sides of the networks.
const NETS: [(usize, usize); 2] = [(40, 25), (100, 100)];

/// Runs the benchmark.
pub fn run(options: &[&str]) -> Result<(), String> {
    let python = match options {
        [] => None,
        ["--against", python] => Some(*python),
        _ => return Err("expected nothing, or `--against PYTHON`".to_owned()),
    };
    let mut table = yards()?;
    table.push_str(&networks(python)?);
    table.push_str(&catch()?);
    println!("{table}");
    page::write("bench-water", &table)
}

fn yards() -> Result<String, String> {
    let mut table = String::from(
        "| lots | zones | outlets | laid out, piped, solved, scheduled, ms | hand-offs, ms |\n| ---: | ---: | ---: | ---: | ---: |\n",
    );
    let one = demo()?;
    // Any climate does: it is twelve numbers.
    let year = Year { reference: [0.08; 12], rain: [0.02; 12], known: (true, true) };
    for lots in LOTS {
        let project = if lots > 1 { tile(&one, lots) } else { one.clone() };
        let outcome = Job::live().run(&project, When::years(0.0), &mut ());
        let yard = outcome.yard.as_ref();
        let mut best = [f64::INFINITY; 2];
        let (mut zones, mut outlets) = (0, 0);
        for _ in 0..3 {
            let (study, took) = timed(|| groundwright_water::study(&project, yard, &|_| Some(8.0), year));
            zones = study.zones.len();
            outlets = study.zones.iter().map(|zone| zone.outlets.len()).sum();
            if let Some(zone) = study.zones.iter().find(|zone| zone.plan().is_none()) {
                return Err(format!("{} is not piped", zone.tag()));
            }
            let (_, handed) = timed(|| {
                study.findings().len()
                    + study.quantities().len()
                    + study.tables().len()
                    + study.marks(When::years(0.0)).len()
            });
            best = [best[0].min(took), best[1].min(handed)];
        }
        let _ = writeln!(table, "| {lots} | {zones} | {outlets} | {:.1} | {:.1} |", best[0], best[1]);
    }
    Ok(table)
}

fn networks(python: Option<&str>) -> Result<String, String> {
    let mut table = String::from(
        "\n| nodes | pipes | heads | solved, ms | EPANET 2.2, ms | times | heads apart at most, m |\n| ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let folder = std::env::temp_dir().join(format!("groundwright-water-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    let mut rows = Vec::new();
    for (columns, rows_of) in NETS {
        let network = net(columns, rows_of)?;
        let mut best = f64::INFINITY;
        let mut heads = String::new();
        for _ in 0..3 {
            let (solution, took) = timed(|| solve(&network));
            let solution = solution.map_err(|e| e.to_string())?;
            best = best.min(took);
            let lines: Vec<String> = solution.nodes.iter().map(|node| node.head.to_string()).collect();
            heads = lines.join("\n");
        }
        let name = format!("net-{:05}", network.nodes.len());
        std::fs::write(folder.join(format!("{name}.heads")), heads).map_err(|e| e.to_string())?;
        std::fs::write(folder.join(format!("{name}.inp")), written(&network)).map_err(|e| e.to_string())?;
        let outlets = network.nodes.iter().filter(|node| node.emitter.is_some()).count();
        rows.push((name, network.nodes.len(), network.links.len(), outlets, best));
    }
    let theirs = match python {
        None => String::new(),
        Some(python) => {
            let script = crate::workspace::root().join("xtask/compare/pipe_networks.py");
            let mut command = std::process::Command::new(python);
            let output = command.arg(script).arg(&folder).output().map_err(|e| e.to_string())?;
            if !output.status.success() {
                return Err(String::from_utf8_lossy(&output.stderr).into_owned());
            }
            String::from_utf8_lossy(&output.stdout).into_owned()
        }
    };
    for (name, nodes, pipes, outlets, ours) in rows {
        let line = theirs.lines().find(|line| line.starts_with(&name));
        let word = |i: usize| line.and_then(|l| l.split(' ').nth(i)).and_then(|w| w.parse::<f64>().ok());
        let (engine, apart) = (word(2).map(|seconds| seconds * 1000.0), word(6));
        let cell = |value: Option<f64>, digits: usize| {
            value.map_or("not run".to_owned(), |value| format!("{value:.digits$}"))
        };
        let _ = writeln!(
            table,
            "| {nodes} | {pipes} | {outlets} | {ours:.1} | {} | {} | {} |",
            cell(engine, 1),
            cell(engine.map(|engine| engine / ours), 1),
            cell(apart, 5)
        );
    }
    std::fs::remove_dir_all(&folder).map_err(|e| e.to_string())?;
    Ok(table)
}

/// A looped network: a grid of joints ten metres apart, a head at every second, one supply.
fn net(columns: usize, rows: usize) -> Result<Network, String> {
    let mut network = Network { nodes: Vec::new(), links: Vec::new(), fluid: WATER };
    let emitter = Emitter::rated(2e-5, 2e5, 0.5).map_err(|e| e.to_string())?;
    for i in 0..columns * rows {
        let level = ((i * 37) % 11) as f64 * 0.1;
        let mut node = Node::joint(format!("N{i}"), level);
        if i == 0 {
            node.supply = Some(Supply { head: 60.0, droop: None });
        } else if i % 2 == 1 {
            node.emitter = Some(emitter);
        }
        network.nodes.push(node);
    }
    for i in 0..columns * rows {
        let (column, row) = (i % columns, i / columns);
        let ends = [(column + 1 < columns).then_some(i + 1), (row + 1 < rows).then_some(i + columns)];
        for to in ends.into_iter().flatten() {
            // Wide near the supply, narrow at the far end.
            let far = (column + row) as f64 / (columns + rows) as f64;
            let diameter = 0.30 * (1.0 - far) + 0.03 + ((i * 13) % 7) as f64 * 0.001;
            let friction = Friction::HazenWilliams(150.0);
            let part = Part::Pipe { length: 10.0, diameter, friction, minor: 0.0 };
            network.links.push(Link { name: format!("P{}", network.links.len()), from: i, to, part });
        }
    }
    Ok(network)
}

/// The network in the input format of the engine, litres a second.
fn written(network: &Network) -> String {
    let mut text = String::from("[JUNCTIONS]\n");
    let per_metre = WATER.pressure(1.0).sqrt();
    let (mut supplies, mut emitters) = (String::from("[RESERVOIRS]\n"), String::from("[EMITTERS]\n"));
    for node in &network.nodes {
        match &node.supply {
            Some(supply) => {
                let _ = writeln!(supplies, "{} {}", node.name, supply.head);
            }
            None => {
                let _ = writeln!(text, "{} {} 0", node.name, node.elevation);
            }
        }
        if let Some(emitter) = &node.emitter {
            let _ = writeln!(emitters, "{} {}", node.name, emitter.coefficient * per_metre * 1000.0);
        }
    }
    text.push_str(&supplies);
    text.push_str("[PIPES]\n");
    for link in &network.links {
        if let Part::Pipe { length, diameter, friction: Friction::HazenWilliams(c), .. } = &link.part {
            let (from, to) = (&network.nodes[link.from].name, &network.nodes[link.to].name);
            let _ = writeln!(text, "{} {from} {to} {length} {} {c} 0 Open", link.name, diameter * 1000.0);
        }
    }
    text.push_str(&emitters);
    text.push_str(
        "[OPTIONS]\nUnits LPS\nHeadloss H-W\nEmitter Exponent 0.5\nAccuracy 0.000001\nTrials 200\n[TIMES]\nDuration 0\n[END]\n",
    );
    text
}

/// A thousand heads over a lawn on cells of ten centimetres.
fn catch() -> Result<String, String> {
    let (columns, rows, pitch) = (40, 25, 4.5);
    let corner = Point::new(pitch * columns as f64, pitch * rows as f64);
    let outline = [Point::ZERO, Point::new(corner.x, 0.0), corner, Point::new(0.0, corner.y)];
    let lawn = Region::polygon(&outline).map_err(|e| e.to_string())?;
    let head = |i: usize| Head {
        at: Point::new(
            (i % columns) as f64 * pitch + pitch / 2.0,
            (i / columns) as f64 * pitch + pitch / 2.0,
        ),
        start: 0.0,
        sweep: std::f64::consts::TAU,
        throw: pitch,
        flow: 2e-4,
        profile: Profile::cone(),
    };
    let heads: Vec<Head> = (0..columns * rows).map(head).collect();
    let mut best = f64::INFINITY;
    let mut cells = 0;
    for _ in 0..3 {
        let (grid, took) = timed(|| catch_grid(&heads, &lawn, 0.1, &[], Wind::STILL));
        cells = grid.map_err(|e| e.to_string())?.rates.len();
        best = best.min(took);
    }
    Ok(format!("\nCatch grid: {} heads on {cells} cells of 10 cm in {best:.0} ms.\n", heads.len()))
}

/// What some work gives, and how long it takes. [ms]
fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = Instant::now();
    let result = work();
    (result, start.elapsed().as_secs_f64() * 1000.0)
}
