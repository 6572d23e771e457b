//! Runs `tests/outside/recompute.py` over a folder of plans, all in one process.

use fantail::plan::Plan;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A folder of its own, taken away at the end.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("fantail-verify-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        Self(folder)
    }

    pub fn put(&self, name: &str, plan: &Plan) {
        std::fs::write(self.0.join(format!("{name}.json")), serde_json::to_string(plan).unwrap()).unwrap();
    }

    /// Whether all plans were right, and what the script said.
    pub fn recompute(&self) -> (bool, String) {
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("outside/recompute.py");
        let output = Command::new("python3").arg(script).arg(&self.0).output().expect("python3 runs");
        let text = format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        (output.status.success(), text)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
