//! Bench, to come.
fn main() {
    divan::main();
}
