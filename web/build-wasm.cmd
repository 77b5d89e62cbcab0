@echo off
rem Rebuilds web\static\windrow.wasm and the list of its sources. What it needs: tests\src\bin\build_wasm.rs says.
cd /d "%~dp0.." && cargo run --quiet --locked -p windrow-tests --bin build_wasm
