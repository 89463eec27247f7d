"""A network loaded into ONNX Runtime, so that it leaves the processor to others while it waits."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def session(model: Path | bytes, threads: int, *, arena: bool = True) -> Any:  # noqa: ANN401 - onnxruntime ships no types
    """A session of a model.

    Args:
        model: its file, or its graph as bytes.
        threads: processor threads that one run may use.
        arena: whether the room of the largest run is kept for the next.

    Raises:
        Exception: of the library's own classes: the model cannot be loaded.
    """
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = threads
    options.inter_op_num_threads = 1
    options.enable_cpu_mem_arena = arena
    # Threads that spin while they wait take the processor from hearing and speaking.
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    options.log_severity_level = 3
    source = model if isinstance(model, bytes) else str(model)
    return onnxruntime.InferenceSession(source, options, providers=["CPUExecutionProvider"])
