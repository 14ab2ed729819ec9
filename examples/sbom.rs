//! Lists everything that is built into the program, for whoever has to know: a bill of materials as CycloneDX 1.6 JSON (ECMA-424).
//!
//! `sh tools/sbom` runs it. What is in the list is what `cargo metadata` says of this machine's build with the window: each crate with its version, licence and
//! checksum, and what needs what.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "it talks to a terminal")]
#![expect(clippy::indexing_slicing, reason = "a JSON value has null where it has nothing of that name")]

use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::process::{Command, ExitCode};

fn main() -> ExitCode {
    match bill() {
        Ok(bill) => {
            println!("{bill:#}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("no bill of materials: {why}");
            ExitCode::FAILURE
        }
    }
}

/// What cargo says of the packages that are built into the program on this machine.
fn metadata() -> Result<Value, String> {
    let told = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
        .args(["metadata", "--locked", "--format-version", "1", "--filter-platform"])
        .arg(host()?)
        .args(["--manifest-path", concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml")])
        .output()
        .map_err(|e| format!("cargo can't be run: {e}"))?;
    if !told.status.success() {
        return Err(String::from_utf8_lossy(&told.stderr).trim().to_owned());
    }
    serde_json::from_slice(&told.stdout).map_err(|e| e.to_string())
}

fn host() -> Result<String, String> {
    let told = Command::new("rustc").arg("-vV").output().map_err(|e| format!("rustc can't be run: {e}"))?;
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    told.lines()
        .find_map(|line| line.strip_prefix("host: "))
        .map(str::to_owned)
        .ok_or_else(|| "rustc does not say what machine this is".to_owned())
}

/// Checksums (SHA-256) of the crates, by name and version, from `Cargo.lock`.
fn checksums() -> Result<BTreeMap<(String, String), String>, String> {
    let lock = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.lock")).map_err(|e| format!("Cargo.lock: {e}"))?;
    let field = |package: &str, name: &str| {
        package.lines().find_map(|line| line.strip_prefix(&format!("{name} = \""))?.strip_suffix('"').map(str::to_owned))
    };
    let packages = lock.split("[[package]]").skip(1);
    Ok(packages.filter_map(|package| Some(((field(package, "name")?, field(package, "version")?), field(package, "checksum")?))).collect())
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().map(Vec::as_slice).unwrap_or_default().iter()
}

/// True for what is needed to run, not only to build or to test.
fn is_normal(dependency: &Value) -> bool {
    list(&dependency["dep_kinds"]).any(|kind| kind["kind"].is_null())
}

fn bill() -> Result<Value, String> {
    let told = metadata()?;
    let checksums = checksums()?;
    let packages: BTreeMap<&str, &Value> = list(&told["packages"]).map(|package| (text(&package["id"]), package)).collect();
    let needs: BTreeMap<&str, Vec<&str>> = list(&told["resolve"]["nodes"])
        .map(|node| (text(&node["id"]), list(&node["deps"]).filter(|dep| is_normal(dep)).map(|dep| text(&dep["pkg"])).collect()))
        .collect();
    let root = text(&told["resolve"]["root"]);
    // Everything that can be reached from the program.
    let mut reached = BTreeSet::new();
    let mut open = vec![root];
    while let Some(id) = open.pop() {
        if reached.insert(id) {
            open.extend(needs.get(id).into_iter().flatten().copied());
        }
    }
    let url = |id: &str| {
        packages.get(id).map_or_else(String::new, |package| format!("pkg:cargo/{}@{}", text(&package["name"]), text(&package["version"])))
    };
    let component = |id: &str| {
        let package = packages.get(id)?;
        let (name, version) = (text(&package["name"]), text(&package["version"]));
        let mut component = json!({
            "type": if id == root { "application" } else { "library" },
            "bom-ref": url(id), "purl": url(id), "name": name, "version": version,
            "description": text(&package["description"]).trim(),
            // Cargo's old way of writing OR.
            "licenses": [{ "expression": text(&package["license"]).replace('/', " OR ") }],
        });
        if let Some(sum) = checksums.get(&(name.to_owned(), version.to_owned())) {
            component["hashes"] = json!([{ "alg": "SHA-256", "content": sum }]);
        }
        Some(component)
    };
    let components: Vec<Value> = reached.iter().filter(|id| **id != root).filter_map(|id| component(id)).collect();
    let depend =
        |id: &&str| json!({ "ref": url(id), "dependsOn": needs.get(*id).into_iter().flatten().map(|id| url(id)).collect::<Vec<_>>() });
    Ok(json!({
        "bomFormat": "CycloneDX", "specVersion": "1.6", "version": 1,
        "metadata": { "component": component(root) },
        "components": components,
        "dependencies": reached.iter().map(depend).collect::<Vec<_>>(),
    }))
}
