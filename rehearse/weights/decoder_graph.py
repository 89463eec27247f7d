"""The decoder of a Whisper model as a graph for ONNX Runtime, made from a CTranslate2 file.

The file's weights are whole numbers of 8 bits, and stay so; each row of what they are multiplied
with is put in 8 bits by its own largest value, as CTranslate2 does it, so that rows do not depend
on each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
from onnx import ModelProto, TensorProto, helper, numpy_helper

from rehearse.weights.ctranslate_file import Array, Variables
from rehearse.weights.onnx_session import session

Memory = tuple[Array, ...]  # keys and values of each layer in turn

_OPSET, _IR = 20, 9
_ENGINES_OWN = "com.microsoft"  # operators that ONNX Runtime adds to the standard's
_STEPS = 127  # of a row's largest value
_ZERO = 128  # the number that stands for 0
_SMALL = 1e-5  # added to variances, as when the model was trained


class Decoder:
    """The decoder; rows are nodes of a tree of texts.

    Args:
        model: the variables of the file.
        tokens: how many of the first tokens texts are made of; a probability is a share of these.
        threads: processor threads a call may use.
    """

    def __init__(self, model: Variables, tokens: int, threads: int) -> None:
        self._names = _memory_names(model)
        self._memory = _session(_memory_graph(model, self._names), threads)
        self._layers = _session(_layers_graph(model, self._names), threads)
        self._vocabulary = _session(_vocabulary_graph(model, tokens), threads)

    def memory(self, encoded: Array) -> Memory:
        """What the decoder keeps of a sound. encoded: shape (positions, width)."""
        return tuple(self._memory.run(None, {"encoded": encoded}))

    def run(self, rows: Array, unseen: Array, memory: Memory) -> Array:
        """The rows behind the last layer, shape (rows, width).

        unseen: shape (rows, rows), added for each row to its likeness to another: 0 where the
        other is the row itself or before it, far below 0 elsewhere.
        """
        given = dict(zip(self._names, memory, strict=True))
        result: Array = self._layers.run(None, {"rows": rows, "unseen": unseen, **given})[0]
        return result

    def told(self, rows: Array, pairs: npt.NDArray[np.int64]) -> Array:
        """Log-probabilities, in nats, of pairs of a row and a token, shape (pairs, 2)."""
        result: Array = self._vocabulary.run(None, {"rows": rows, "pairs": pairs})[0]
        return result


class _Graph:
    """Nodes and weights as they are put together. Methods name their result."""

    def __init__(self) -> None:
        versions = [helper.make_opsetid("", _OPSET), helper.make_opsetid(_ENGINES_OWN, 1)]
        self._model = ModelProto(ir_version=_IR, opset_import=versions)
        self._graph = self._model.graph
        self._graph.name = "decoder"

    def do(self, operator: str, *inputs: str, outputs: int = 1, **attributes: Any) -> list[str]:  # noqa: ANN401
        names = [f"n{len(self._graph.node)}_{number}" for number in range(outputs)]
        self._graph.node.append(helper.make_node(operator, list(inputs), names, **attributes))
        return names

    def one(self, operator: str, *inputs: str, **attributes: Any) -> str:  # noqa: ANN401
        return self.do(operator, *inputs, **attributes)[0]

    def value(self, value: npt.ArrayLike, kind: npt.DTypeLike = np.float32) -> str:
        array = np.ascontiguousarray(value, kind).reshape(np.shape(value))
        kind_of = helper.np_dtype_to_tensor_dtype(array.dtype)
        # Straight into the graph: every copy of the vocabulary is 26 MB.
        name = f"w{len(self._graph.initializer)}"
        tensor = self._graph.initializer.add(name=name, dims=array.shape, data_type=kind_of)
        tensor.raw_data = array.tobytes()
        return name

    def linear(self, rows: str, weight: npt.NDArray[np.int8], scale: Array) -> str:
        """Rows times the weight, shape (width out, width in), each of its rows over its scale."""
        largest = self.one("ReduceMax", self.one("Abs", rows), self.value([-1], np.int64))
        step = self.one("Mul", largest, self.value(1 / _STEPS))
        step = self.one("Max", step, self.value(1e-12))
        counted = self.one("Round", self.one("Div", rows, step))
        shifted = self.one("Add", counted, self.value(_ZERO))
        whole = self.one("Cast", shifted, to=TensorProto.UINT8)
        columns = np.ascontiguousarray(weight.T)
        if _exact_with_signs():
            held, zero = self.value(columns, np.int8), self.value(0, np.int8)
        else:
            held = self.value(columns.astype(np.int16) + _ZERO, np.uint8)
            zero = self.value(_ZERO, np.uint8)
        product = self.one(
            "MatMulIntegerToFloat",
            *(whole, held, self.value(1), self.value(1 / scale)),
            *(self.value(_ZERO, np.uint8), zero),
            domain=_ENGINES_OWN,
        )
        return self.one("Mul", product, step)

    def layer(self, model: Variables, name: str, rows: str) -> str:
        """A layer of the file, with its bias."""
        weight, scale = model.counted(name)
        return self.one(
            "Add", self.linear(rows, weight, scale), self.value(model.plain(f"{name}/bias"))
        )

    def norm(self, model: Variables, name: str, rows: str) -> str:
        gain, shift = (
            self.value(model.plain(f"{name}/layer_norm/{part}")) for part in ("gamma", "beta")
        )
        return self.one("LayerNormalization", rows, gain, shift, axis=-1, epsilon=_SMALL)

    def heads(self, rows: str, count: int, order: Sequence[int]) -> str:
        """Rows, shape (rows, width), parted into heads and put in this order of axes."""
        parted = self.one("Reshape", rows, self.value([0, count, -1], np.int64))
        return self.one("Transpose", parted, perm=list(order))

    def attended(self, likeness: str, values: str) -> str:
        mixed = self.one("MatMul", self.one("Softmax", likeness, axis=-1), values)
        rows = self.one("Transpose", mixed, perm=[1, 0, 2])
        return self.one("Reshape", rows, self.value([0, -1], np.int64))

    def finished(
        self, inputs: Sequence[tuple[str, int, int]], outputs: Sequence[tuple[str, str]]
    ) -> ModelProto:
        """The graph. inputs: name, type and number of axes; outputs: of the graph and inside."""
        for name, inside in outputs:
            self._graph.node.append(helper.make_node("Identity", [inside], [name]))
        self._graph.input.extend(
            helper.make_tensor_value_info(name, kind, [None] * axes) for name, kind, axes in inputs
        )
        self._graph.output.extend(
            helper.make_tensor_value_info(name, TensorProto.FLOAT, None) for name, _ in outputs
        )
        return self._model


_BY_HEAD = (1, 0, 2)  # axes of rows parted into heads: heads, rows, width
_TURNED = (1, 2, 0)  # heads, width, rows


def _layer_names(model: Variables) -> list[str]:
    names = (f"decoder/layer_{number}" for number in range(len(model.stored)))
    return [name for name in names if f"{name}/ffn/linear_0/weight" in model.stored]


def _memory_names(model: Variables) -> list[str]:
    layers = range(len(_layer_names(model)))
    return [f"{part}_{layer}" for layer in layers for part in ("keys", "values")]


def _memory_graph(model: Variables, names: Sequence[str]) -> ModelProto:
    graph, heads = _Graph(), model.number("decoder/num_heads")
    made = []
    for layer in _layer_names(model):
        both = graph.layer(model, f"{layer}/attention/linear_1", "encoded")
        keys, values = graph.do("Split", both, outputs=2, axis=1, num_outputs=2)
        made += [graph.heads(keys, heads, _TURNED), graph.heads(values, heads, _BY_HEAD)]
    outputs = list(zip(names, made, strict=True))
    return graph.finished([("encoded", TensorProto.FLOAT, 2)], outputs)


def _layers_graph(model: Variables, names: Sequence[str]) -> ModelProto:
    graph, heads = _Graph(), model.number("decoder/num_heads")
    width = model.stored["decoder/layer_norm/gamma"].shape[0]
    scale = graph.value(1 / math.sqrt(width / heads))
    rows = "rows"
    for layer, keys, values in zip(_layer_names(model), names[::2], names[1::2], strict=True):
        own = f"{layer}/self_attention"
        together = graph.layer(model, f"{own}/linear_0", graph.norm(model, own, rows))
        asked, known, told = graph.do("Split", together, outputs=3, axis=1, num_outputs=3)
        alike = graph.one(
            "MatMul", graph.heads(asked, heads, _BY_HEAD), graph.heads(known, heads, _TURNED)
        )
        alike = graph.one("Add", graph.one("Mul", alike, scale), "unseen")
        mixed = graph.attended(alike, graph.heads(told, heads, _BY_HEAD))
        rows = graph.one("Add", rows, graph.layer(model, f"{own}/linear_1", mixed))

        sound = f"{layer}/attention"
        asked = graph.layer(model, f"{sound}/linear_0", graph.norm(model, sound, rows))
        alike = graph.one("MatMul", graph.heads(asked, heads, _BY_HEAD), keys)
        mixed = graph.attended(graph.one("Mul", alike, scale), values)
        rows = graph.one("Add", rows, graph.layer(model, f"{sound}/linear_2", mixed))

        inner = f"{layer}/ffn"
        wide = graph.layer(model, f"{inner}/linear_0", graph.norm(model, inner, rows))
        narrow = graph.layer(model, f"{inner}/linear_1", graph.one("Gelu", wide))
        rows = graph.one("Add", rows, narrow)
    inputs = [("rows", TensorProto.FLOAT, 2), ("unseen", TensorProto.FLOAT, 2)]
    inputs += [(name, TensorProto.FLOAT, 3) for name in names]
    return graph.finished(inputs, [("after", graph.norm(model, "decoder", rows))])


def _vocabulary_graph(model: Variables, tokens: int) -> ModelProto:
    graph = _Graph()
    weight, scale = model.counted("decoder/embeddings", slice(tokens))
    scores = graph.linear("rows", weight, scale)
    told = graph.one("GatherND", graph.one("LogSoftmax", scores, axis=-1), "pairs")
    inputs = [("rows", TensorProto.FLOAT, 2), ("pairs", TensorProto.INT64, 2)]
    return graph.finished(inputs, [("told", told)])


def _session(model: ModelProto, threads: int) -> Any:  # noqa: ANN401 - onnxruntime ships no types
    """A session that does not keep the room of the largest tree."""
    return session(model.SerializeToString(), threads, arena=False)


@cache
def _exact_with_signs() -> bool:
    """Whether this processor multiplies numbers of 0..255 with signed ones without a loss.

    Older ones let sums of two products overflow; with both sides unsigned none does, which takes
    up to twice as long.
    """
    rows = np.full((1, 64), 255, np.uint8)
    weight = np.full((64, 64), 127, np.int8)
    node = helper.make_node("MatMulInteger", ["rows", "weight"], ["product"])
    graph = helper.make_graph(
        [node],
        "exactness",
        [helper.make_tensor_value_info("rows", TensorProto.UINT8, [1, 64])],
        [helper.make_tensor_value_info("product", TensorProto.INT32, None)],
        [numpy_helper.from_array(weight, "weight")],
    )
    versions = [helper.make_opsetid("", _OPSET)]
    exact = _session(helper.make_model(graph, opset_imports=versions, ir_version=_IR), 1)
    (product,) = exact.run(None, {"rows": rows})
    return bool((np.asarray(product) == 64 * 255 * 127).all())
