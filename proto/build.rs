//! Compiles the .proto files in pure Rust (no system `protoc`) and keeps the descriptor set for reflection.

use std::{env, error::Error, fs, path::PathBuf};

use prost::Message as _;

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=remise");
    let mut files: Vec<PathBuf> =
        fs::read_dir("remise/v1")?.map(|entry| entry.map(|e| e.path())).collect::<Result<_, _>>()?;
    files.retain(|path| path.extension().is_some_and(|ext| ext == "proto"));
    files.sort();
    let descriptors = protox::compile(&files, ["."])?;
    let out = PathBuf::from(env::var("OUT_DIR")?);
    fs::write(out.join("remise.bin"), descriptors.encode_to_vec())?;
    tonic_prost_build::configure().compile_fds(descriptors)?;
    Ok(())
}
