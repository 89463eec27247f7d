"""A fitted step judge as the file that is shipped: ONNX, linear weights in few bits."""

from __future__ import annotations

from pathlib import Path

import torch

from rehearse.fit.train import Judge
from rehearse.weights.step_judge import pair_ids

OPSET = 17
BITS = 4  # a linear weight; 8 measured no better
BLOCK = 64  # weights that share a scale


class _Logits(torch.nn.Module):  # type: ignore[misc, unused-ignore]
    """The network with plain tensors in and logits out, as ONNX wants it."""

    def __init__(self, judge: Judge) -> None:
        super().__init__()
        self.model = judge.model.float().cpu().eval()
        self.segments = judge.name == "step-judge-minilm"

    def forward(
        self,
        input_ids: torch.Tensor,
        attention_mask: torch.Tensor,
        token_type_ids: torch.Tensor | None = None,
    ) -> torch.Tensor:
        inputs = {"input_ids": input_ids, "attention_mask": attention_mask}
        if self.segments:
            inputs["token_type_ids"] = token_type_ids
        logits: torch.Tensor = self.model(**inputs).logits
        return logits


def export(judge: Judge, file: Path) -> None:
    """Writes the judge in full precision, for any batch and length."""
    ids, second = pair_ids(judge.name, judge.tokenizer, "close the door", "i close the door")
    names = ["input_ids", "attention_mask"]
    tensors = [torch.tensor([ids, ids]), torch.ones(2, len(ids), dtype=torch.long)]
    if judge.name == "step-judge-minilm":
        names.append("token_type_ids")
        tensors.append(torch.tensor([second, second]))
    torch.onnx.export(
        _Logits(judge),
        tuple(tensors),
        str(file),
        input_names=names,
        output_names=["logits"],
        dynamic_axes={name: {0: "batch", 1: "length"} for name in names} | {"logits": {0: "batch"}},
        opset_version=OPSET,
        dynamo=False,
    )


def shrink(full: Path, small: Path) -> None:
    """Linear weights in 4 bits by blocks, embeddings in 8: a fifth of the size.

    Activations are quantised row by row, so that pairs in a batch do not change each other.
    """
    import onnx
    from onnxruntime.quantization import QuantType, quantize_dynamic
    from onnxruntime.quantization.matmul_nbits_quantizer import MatMulNBitsQuantizer

    quantizer = MatMulNBitsQuantizer(
        onnx.load(full), bits=BITS, block_size=BLOCK, is_symmetric=True, accuracy_level=4
    )
    quantizer.process()
    quantizer.model.save_model_to_file(str(small), use_external_data_format=False)
    quantize_dynamic(small, small, op_types_to_quantize=["Gather"], weight_type=QuantType.QUInt8)
