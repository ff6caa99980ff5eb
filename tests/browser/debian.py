"""Debian's own packages, installed where that can be done. Standard library only."""

import os
import shutil
import subprocess


def can_install() -> bool:
    """Return whether this is root on a system with apt-get."""
    return bool(shutil.which("apt-get")) and hasattr(os, "geteuid") and os.geteuid() == 0


def install(*packages: str) -> None:
    """Install packages where this is root on Debian; elsewhere nothing happens."""
    if not can_install():
        return
    print("Installing", *packages, "with apt-get", flush=True)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (
        ["update", "-q"],
        ["install", "-y", "-q", "--no-install-recommends", *packages],
    ):
        subprocess.run(
            ["apt-get", *command], env=environment, stdout=subprocess.DEVNULL, check=False
        )
