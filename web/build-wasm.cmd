@echo off
rem Rebuilds the wasm files in web\static and the lists of their sources. What it needs: tests\src\bin\build_wasm.rs says.
cd /d "%~dp0.." && cargo run --quiet --locked -p windrow-tests --bin build_wasm
