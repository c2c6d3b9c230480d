"""Write trained networks as ONNX files of half the size: weights in 16 bits, reckoning in 32.

`python export.py TRAINED FOLDER`: TRAINED holds finder.pt and reader.pt
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import onnx
import torch
from nets import Finder, Reader
from onnx import numpy_helper


def halved(path: Path) -> None:
    """Keep every large weight in 16 bits with a cast in front of its use."""
    model = onnx.load(str(path))
    graph = model.graph
    casts = []
    for i, one in enumerate(list(graph.initializer)):
        values = numpy_helper.to_array(one)
        if values.dtype != np.float32 or values.size < 256:
            continue
        name = one.name
        small = numpy_helper.from_array(values.astype(np.float16), f"{name}_16")
        graph.initializer[i].CopyFrom(small)
        casts.append(onnx.helper.make_node("Cast", [f"{name}_16"], [name], to=onnx.TensorProto.FLOAT))
    nodes = [*casts, *graph.node]
    del graph.node[:]
    graph.node.extend(nodes)
    onnx.checker.check_model(model)
    onnx.save(model, str(path))


def main() -> None:
    trained, out = Path(sys.argv[1]), Path(sys.argv[2])
    finder, reader = Finder(), Reader()
    for net, name in ((finder, "finder"), (reader, "reader")):
        state = torch.load(trained / f"{name}.pt", map_location="cpu")
        net.load_state_dict({k: v.float() if v.dtype == torch.float16 else v for k, v in state.items()})
        net.eval()
    torch.onnx.export(
        finder, (torch.zeros(1, 3, 256, 320),), str(out / "finder.onnx"), input_names=["flat"], output_names=["found"],
        dynamic_axes={"flat": {2: "h", 3: "w"}, "found": {2: "h", 3: "w"}}, dynamo=False, opset_version=17,
    )  # fmt: skip
    torch.onnx.export(
        reader, (torch.zeros(2, 4, 320, 384), torch.zeros(2, 3)), str(out / "reader.onnx"), input_names=["cut", "view"],
        output_names=["kinds", "looks", "sizes", "pitch", "flags", "points"],
        dynamic_axes={"cut": {0: "n", 2: "h", 3: "w"}, "view": {0: "n"}}, dynamo=False, opset_version=17,
    )  # fmt: skip
    for name in ("finder", "reader"):
        halved(out / f"{name}.onnx")
        print(name, (out / f"{name}.onnx").stat().st_size)


if __name__ == "__main__":
    main()
