"""Training a step judge: on labels, or on what other judges make of unlabelled pairs.

Needs a GPU (`rehearse.fit.recipe` says how long) and the extra `fit` of `pyproject.toml`.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch
from torch.nn import functional
from transformers import AutoModelForSequenceClassification

from rehearse.fit.examples import Example, examples
from rehearse.fit.rows import Row
from rehearse.weights.step_judge import LABELS, StepJudgeName, pair_ids, tokenizer

Probabilities = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Recipe:
    """How a model is fitted.

    agreement: weight of two dropouts agreeing on a pair (R-Drop). nudge: length of the step by
    which the word embeddings are moved to where the batch is read worst, to be read there again
    (fast gradient method, https://arxiv.org/abs/1605.07725); 0 for none.
    """

    epochs: int
    batch: int
    rate: float
    decay: float = 0.01
    warm_up: float = 0.1
    smoothing: float = 0.05
    agreement: float = 0.0
    nudge: float = 0.0


class Judge:
    """A network, its tokenizer, and how its two texts are joined."""

    def __init__(self, name: StepJudgeName, base: Path, device: str) -> None:
        """The base weights with a new head. base: a folder with config, weights, tokenizer.json."""
        self.name = name
        self.device = device
        self.tokenizer = tokenizer(base / "tokenizer.json")
        self._read = cache(lambda step, said: pair_ids(name, self.tokenizer, step, said))
        self.model = AutoModelForSequenceClassification.from_pretrained(
            base, num_labels=len(LABELS), attn_implementation="eager", dtype=torch.float32
        ).to(device)

    def save(self, file: Path) -> None:
        """Writes the weights, 16 bits each."""
        torch.save({key: value.half() for key, value in self.model.state_dict().items()}, file)

    def load(self, file: Path) -> None:
        """Takes the weights of a judge of the same name that `save` wrote."""
        self.model.load_state_dict(torch.load(file, map_location=self.device))

    def fit(self, rows: Sequence[Row], recipe: Recipe, seed: int) -> None:
        """Fits all weights on the rows, with examples drawn anew each epoch."""
        torch.manual_seed(seed)
        epochs = [examples(rows, 1000 * seed + epoch) for epoch in range(recipe.epochs)]
        steps = sum(-(-len(pairs) // recipe.batch) for pairs in epochs)

        def loss(batch: Sequence[Example]) -> torch.Tensor:
            return self._labelled(batch, recipe)

        def nudged(batch: Sequence[Example]) -> torch.Tensor:
            return self._labelled(batch, replace(recipe, agreement=0.0))

        self._run(_batches(epochs, recipe.batch, seed), steps, recipe, loss, nudged)

    def learn(
        self, pairs: Sequence[tuple[str, str]], targets: Probabilities, recipe: Recipe, seed: int
    ) -> None:
        """Fits the teachers' probabilities, shape (n, 4), instead of labels."""
        torch.manual_seed(seed)
        soft = dict(zip(pairs, targets, strict=True))
        listed = [Example(step, said, 0) for step, said in pairs]
        steps = recipe.epochs * -(-len(listed) // recipe.batch)
        epochs = [listed] * recipe.epochs

        def loss(batch: Sequence[Example]) -> torch.Tensor:
            wanted = np.stack([soft[(pair.step, pair.said)] for pair in batch])
            goal = torch.from_numpy(wanted).to(self.device)
            return -(goal * functional.log_softmax(self._logits(batch), -1)).sum(-1).mean()

        self._run(_batches(epochs, recipe.batch, seed), steps, recipe, loss, loss)

    def probabilities(self, pairs: Sequence[tuple[str, str]], batch: int = 512) -> Probabilities:
        """Shape (n, 4), in the order of `LABELS`."""
        self.model.eval()
        listed = [Example(step, said, 0) for step, said in pairs]
        order = sorted(range(len(listed)), key=lambda i: len(listed[i].said) + len(listed[i].step))
        result = np.zeros((len(listed), len(LABELS)), np.float32)
        with torch.no_grad():
            for at in range(0, len(order), batch):
                chosen = order[at : at + batch]
                logits = self._logits([listed[i] for i in chosen])
                result[chosen] = functional.softmax(logits, -1).cpu().numpy()
        return result

    def _run(
        self,
        batches: Iterator[Sequence[Example]],
        steps: int,
        recipe: Recipe,
        loss: Callable[[Sequence[Example]], torch.Tensor],
        nudged: Callable[[Sequence[Example]], torch.Tensor],
    ) -> None:
        self.model.train()
        optimiser = torch.optim.AdamW(
            self.model.parameters(), recipe.rate, weight_decay=recipe.decay, fused=True
        )
        warm = max(1, int(recipe.warm_up * steps))
        schedule = torch.optim.lr_scheduler.LambdaLR(
            optimiser, lambda step: min((step + 1) / warm, (steps - step) / max(1, steps - warm))
        )
        for batch in batches:
            optimiser.zero_grad(set_to_none=True)
            loss(batch).backward()
            if recipe.nudge:
                with self._moved(recipe.nudge):
                    nudged(batch).backward()
            torch.nn.utils.clip_grad_norm_(self.model.parameters(), 1.0)
            optimiser.step()
            schedule.step()
        self.model.eval()

    @contextmanager
    def _moved(self, length: float) -> Iterator[None]:
        """The word embeddings, for a while, this far up their gradient."""
        weights = self.model.get_input_embeddings().weight
        kept = weights.detach().clone()
        with torch.no_grad():
            weights.add_(weights.grad * (length / (weights.grad.norm() + 1e-9)))
        yield
        with torch.no_grad():
            weights.copy_(kept)

    def _labelled(self, batch: Sequence[Example], recipe: Recipe) -> torch.Tensor:
        labels = torch.tensor([pair.label for pair in batch], device=self.device)
        if not recipe.agreement:
            return functional.cross_entropy(
                self._logits(batch), labels, label_smoothing=recipe.smoothing
            )
        one, other = self._logits([*batch, *batch]).chunk(2)
        right = functional.cross_entropy(
            torch.cat([one, other]), labels.repeat(2), label_smoothing=recipe.smoothing
        )
        first, second = functional.log_softmax(one, -1), functional.log_softmax(other, -1)
        apart = functional.kl_div(first, second, reduction="batchmean", log_target=True)
        apart = apart + functional.kl_div(second, first, reduction="batchmean", log_target=True)
        return right + recipe.agreement * apart / 2

    def _logits(self, batch: Sequence[Example]) -> torch.Tensor:
        read = [self._read(pair.step, pair.said) for pair in batch]
        longest = max(len(ids) for ids, _ in read)
        padding = self.model.config.pad_token_id
        ids = np.full((len(read), longest), padding, np.int64)
        segments = np.zeros((len(read), longest), np.int64)
        mask = np.zeros((len(read), longest), np.int64)
        for row, (tokens, second) in enumerate(read):
            ids[row, : len(tokens)] = tokens
            segments[row, : len(tokens)] = second
            mask[row, : len(tokens)] = 1
        inputs = {"input_ids": ids, "attention_mask": mask}
        if self.name == "step-judge-minilm":
            inputs["token_type_ids"] = segments
        tensors = {key: torch.from_numpy(value).to(self.device) for key, value in inputs.items()}
        with torch.autocast(self.device, torch.bfloat16, enabled=self.device != "cpu"):
            logits: torch.Tensor = self.model(**tensors).logits
        return logits.float()


def mean_of(judges: Sequence[Judge]) -> Judge:
    """One judge whose weights are the mean of these, all fitted from the same base."""
    result = copy.copy(judges[0])
    result.model = copy.deepcopy(judges[0].model)
    states = [judge.model.state_dict() for judge in judges]
    mean = {
        key: torch.stack([state[key].float() for state in states]).mean(0).to(value.dtype)
        for key, value in states[0].items()
    }
    result.model.load_state_dict(mean)
    return result


def _batches(
    epochs: Sequence[Sequence[Example]], size: int, seed: int
) -> Iterator[Sequence[Example]]:
    """Batches of pairs of like length, in random order."""
    chance = random.Random(seed)  # noqa: S311 - repeatable on purpose
    for pairs in epochs:
        near = sorted(pairs, key=lambda p: len(p.said) + len(p.step) + chance.uniform(0, 30))
        batches = [near[at : at + size] for at in range(0, len(near), size)]
        chance.shuffle(batches)
        yield from batches
