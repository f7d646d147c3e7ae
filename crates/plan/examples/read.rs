//! Reads a project folder and prints its faults or what was assumed: a check for people who write
//! projects by hand.

fn main() {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    match groundwright_plan::load_folder(std::path::Path::new(&folder)) {
        Ok(loaded) => {
            println!("{} elements", loaded.project.elements().len());
            for assumption in &loaded.assumptions {
                println!(
                    "assumed: {} {}: {} ({})",
                    assumption.element, assumption.field, assumption.value, assumption.why
                );
            }
        }
        Err(faults) => {
            for fault in &faults {
                println!("{fault}");
            }
            std::process::exit(1);
        }
    }
}
