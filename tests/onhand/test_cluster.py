"""Any executor will do: a real local cluster of dask.distributed."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltgeom.onhand.index import open_index
from quiltgeom.onhand.indexing import index_folder
from tests.onhand.cloths import write_cloths

distributed = pytest.importorskip("distributed", reason="dask.distributed is not installed")


def test_a_dask_cluster_reads_a_folder(tmp_path: Path) -> None:
    write_cloths(tmp_path / "a", 5)
    write_cloths(tmp_path / "b", 5)
    (tmp_path / "a" / "no-picture.png").write_text("nothing")
    with (
        distributed.LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            local_directory=str(tmp_path),
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        report = index_folder(tmp_path / "a", executor=client.get_executor())
        assert client.run(lambda: 1) != {}  # it is left running
    assert (report.found, report.read, len(report.unreadable)) == (6, 5, 1)
    index_folder(tmp_path / "b", workers=1)
    found = []
    for folder in (tmp_path / "a", tmp_path / "b"):
        with open_index(folder) as index:
            found.append([index.reading(s) for s in index.swatches() if s.status == "read"])
    assert found[0] == found[1]
