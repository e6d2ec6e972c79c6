"""Meshes brought in: every kind, its unit, its limits, and one sentence for each way a file can be wrong."""

from __future__ import annotations

import io
import struct
import zipfile

import pytest
import trimesh
from pytest import approx

from slake.ground.problems import Problem
from slake.path.mesh import volume_m3
from slake.path.mesh_checks import check_closed
from slake.path.mesh_in import in_unit, read_mesh, read_mesh_file
from slake.path.mesh_limits import MeshLimits
from slake.path.mesh_out import CORE
from tests.path.solids import ball, box, moved, ours, together

KINDS = {
    "binary STL": (".stl", lambda body: body.export(file_type="stl")),
    "text STL": (".stl", lambda body: body.export(file_type="stl_ascii").encode()),
    "OBJ": (".obj", lambda body: body.export(file_type="obj").encode()),
    "binary PLY": (".ply", lambda body: trimesh.exchange.ply.export_ply(body, encoding="binary")),
    "text PLY": (".ply", lambda body: trimesh.exchange.ply.export_ply(body, encoding="ascii")),
    "3MF": (".3mf", lambda body: body.export(file_type="3mf")),
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_gives_the_closed_forms_volume(kind: str):
    """As written by a library that is not ours."""
    ending, write = KINDS[kind]
    mesh = read_mesh(write(box()), "a" + ending)
    assert volume_m3(mesh) == approx(6000e-9, rel=1e-6)
    assert len(mesh.triangles) == 12 and len(mesh.corners_m) == 8
    fine = read_mesh(write(ball()), "a" + ending)
    assert volume_m3(fine) == approx(ball().volume * 1e-9, rel=1e-6)


def model_3mf(inner: str, *, unit: str = 'unit="inch"', head: str = "", more: str = "") -> bytes:
    """A packed file with one model part."""
    text = f'<?xml version="1.0"?>{head}<model {unit} xmlns="{CORE}" {more}>{inner}</model>'
    return packed({"3D/3dmodel.model": text.encode()})


def packed(files: dict[str, bytes], **kept: int) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return file.getvalue()


def tetra(number: int = 1, kind: str = "model") -> str:
    """A corner of a unit cube: volume 1/6."""
    corners = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in ((0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1)))
    faces = "".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in ((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3))
    )
    mesh = f"<mesh><vertices>{corners}</vertices><triangles>{faces}</triangles></mesh>"
    return f'<object id="{number}" type="{kind}">{mesh}</object>'


@pytest.mark.parametrize(
    ("unit", "metres"),
    [("micron", 1e-6), ("millimeter", 1e-3), ("centimeter", 1e-2), ("inch", 0.0254), ("foot", 0.3048), ("meter", 1.0)],
)
def test_the_unit_of_a_3mf_is_honoured(unit: str, metres: float):
    inner = f'<resources>{tetra()}</resources><build><item objectid="1"/></build>'
    mesh = read_mesh(model_3mf(inner, unit=f'unit="{unit}"'), "a.3mf")
    assert mesh.unit_said and volume_m3(mesh) == approx(metres**3 / 6)
    assert volume_m3(in_unit(mesh, "mm")) == approx(1e-9 / 6)


def test_a_3mf_that_names_no_unit_is_in_millimetres_and_an_unknown_one_is_refused():
    inner = f'<resources>{tetra()}</resources><build><item objectid="1"/></build>'
    assert volume_m3(read_mesh(model_3mf(inner, unit=""), "a.3mf")) == approx(1e-9 / 6)
    with pytest.raises(Problem, match="“ell”, which is no unit"):
        read_mesh(model_3mf(inner, unit='unit="ell"'), "a.3mf")


def test_parts_of_parts_stand_where_the_3mf_places_them_and_a_mirrored_one_keeps_its_outside():
    """Only what is in the build counts; the library reads the same places."""
    inner = (
        f'<resources>{tetra(1)}{tetra(5, "support")}<object id="2"><components>'
        '<component objectid="1" transform="2 0 0 0 1 0 0 0 1 10 0 0"/>'
        '<component objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/></components></object></resources>'
        '<build><item objectid="2" transform="1 0 0 0 1 0 0 0 1 0 0 7"/><item objectid="5"/></build>'
    )
    content = model_3mf(inner, unit='unit="millimeter"')
    mesh = read_mesh(content, "a.3mf")
    assert volume_m3(mesh) == approx(3e-9 / 6)
    assert mesh.low_m.tolist() == approx([-0.001, 0, 0.007]) and mesh.high_m.tolist() == approx([0.012, 0.001, 0.008])
    same = trimesh.load(io.BytesIO(content), file_type="3mf")
    assert same.bounds[1][0] == approx(12)


def test_parts_that_hold_one_another_without_end_or_by_the_billion_are_refused():
    """Ten parts of ten of the last: ten billion copies from a kilobyte, counted without placing one."""
    heap = tetra(1) + "".join(
        f'<object id="{n}"><components>{f"""<component objectid="{n - 1}"/>""" * 10}</components></object>'
        for n in range(2, 12)
    )
    with pytest.raises(Problem, match="copies of its parts"):
        read_mesh(model_3mf(f'<resources>{heap}</resources><build><item objectid="11"/></build>'), "a.3mf")
    ring = '<object id="1"><components><component objectid="1"/></components></object>'
    with pytest.raises(Problem, match="deep"):
        read_mesh(model_3mf(f'<resources>{ring}</resources><build><item objectid="1"/></build>'), "a.3mf")


@pytest.mark.parametrize(
    "head",
    [
        '<!DOCTYPE model [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]>',
        '<!DOCTYPE model SYSTEM "elsewhere.txt">',
        '<!DOCTYPE model [<!ENTITY x SYSTEM "elsewhere.txt">]>',
    ],
)
@pytest.mark.parametrize("coding", ["utf-8", "utf-16"])
def test_entities_in_a_3mf_are_refused_unread(head: str, coding: str):
    text = f'<?xml version="1.0" encoding="{coding}"?>{head}<model xmlns="{CORE}">{tetra()}</model>'
    with pytest.raises(Problem, match="declares a document type or entities"):
        read_mesh(packed({"3D/3dmodel.model": text.encode(coding)}), "a.3mf")


def test_a_3mf_that_swells_or_is_locked_or_holds_too_many_files_is_refused_before_it_is_unpacked():
    bomb = packed({"3D/3dmodel.model": b" " * 20_000_000})
    with pytest.raises(Problem, match=r"would swell \d+ times"):
        read_mesh(bomb, "a.3mf")
    with pytest.raises(Problem, match="would unpack to 20 MB"):
        read_mesh(bomb, "a.3mf", MeshLimits(most_unpacked_bytes=1_000_000))
    with pytest.raises(Problem, match="in 1001 files"):
        read_mesh(packed({f"{n}.txt": b"" for n in range(1001)}), "a.3mf")
    locked = bytearray(packed({"3D/3dmodel.model": b"x"}))
    locked[locked.find(b"PK\x01\x02") + 8] |= 1
    with pytest.raises(Problem, match="locked with a password"):
        read_mesh(bytes(locked), "a.3mf")


def test_a_3mf_packed_otherwise_or_lying_about_its_size_is_refused():
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("3D/3dmodel.model", b"x" * 1000)
    with pytest.raises(Problem, match="packed in a way no 3MF is"):
        read_mesh(file.getvalue(), "a.3mf")
    lying = bytearray(packed({"3D/3dmodel.model": b" " * 20_000_000}))
    at = lying.find(b"PK\x01\x02") + 24
    lying[at : at + 4] = (100).to_bytes(4, "little")
    with pytest.raises(Problem, match="packing cannot be opened"):
        read_mesh(bytes(lying), "a.3mf")


def test_xml_that_nests_without_end_is_refused_at_once():
    with pytest.raises(Problem, match="over 64 deep"):
        read_mesh(packed({"3D/3dmodel.model": f'<model xmlns="{CORE}">'.encode() + b"<a>" * 100_000}), "a.3mf")


def test_a_part_file_named_to_climb_out_of_its_folder_is_only_read(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    inner = f'<resources>{tetra()}</resources><build><item objectid="1"/></build>'
    text = f'<?xml version="1.0"?><model xmlns="{CORE}">{inner}</model>'.encode()
    content = packed({"3D/3dmodel.model": text, "../../../climbed.model": text, "/absolute.model": text})
    assert len(read_mesh(content, "../../../etc/passwd\n.3mf").triangles) == 4
    assert list(tmp_path.iterdir()) == []


def test_the_only_model_of_a_3mf_is_its_main_one_whatever_its_name():
    text = f'<model xmlns="{CORE}"><resources>{tetra()}</resources><build><item objectid="1"/></build></model>'.encode()
    assert len(read_mesh(packed({"3D/other.model": text}), "a.3mf").triangles) == 4
    with pytest.raises(Problem, match="no model part"):
        read_mesh(packed({"3D/a.model": text, "3D/b.model": text}), "a.3mf")


def test_a_part_in_another_file_of_the_3mf_is_found():
    other = f'<?xml version="1.0"?><model xmlns="{CORE}"><resources>{tetra(7)}</resources><build/></model>'
    held = '<component objectid="7" p:path="/3D/Objects/other.model"/>'
    inner = f'<resources><object id="1"><components>{held}</components></object></resources>'
    spaces = 'xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06"'
    main = f'<?xml version="1.0"?><model xmlns="{CORE}" {spaces}>{inner}<build><item objectid="1"/></build></model>'
    content = packed({"3D/3dmodel.model": main.encode(), "3D/Objects/other.model": other.encode()})
    assert volume_m3(read_mesh(content, "a.3mf")) == approx(1e-9 / 6)


@pytest.mark.parametrize("kind", sorted({*KINDS} - {"OBJ"}))
@pytest.mark.parametrize("share", [0.0, 0.001, 0.01, 0.3, 0.5, 0.9, 0.98])
def test_a_file_cut_short_is_one_sentence(kind: str, share: float):
    ending, write = KINDS[kind]
    content = write(ball(fine=2))
    with pytest.raises(Problem) as found:
        read_mesh(content[: int(share * len(content))], "a" + ending)
    assert "\n" not in str(found.value)


def test_an_obj_cut_short_has_no_end_to_miss_and_is_found_open():
    content = KINDS["OBJ"][1](ball(fine=2))
    assert check_closed(read_mesh(content, "a.obj")).closed
    cut = content[: content.rfind(b"\nf ", 0, len(content) - 200)]
    assert check_closed(read_mesh(cut, "a.obj")).openings_count >= 1
    with pytest.raises(Problem, match="holds no triangle"):
        read_mesh(content[: content.find(b"\nf ")], "a.obj")


@pytest.mark.parametrize(
    ("content", "name", "says"),
    [
        (b"", "a.stl", "it is empty"),
        (b"x" * 83, "a.stl", "83 bytes"),
        (b"\0" * 84, "a.stl", "holds no triangle"),
        (b"\0" * 80 + b"\x05\0\0\0" + b"\0" * 100, "a.stl", "says 5 triangles and holds 2"),
        (b"solid a\nfacet\nouter loop\nvertex 0 0 nought\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid",
         "a.stl", "line 4: “nought” is no number"),
        (b"v 0 0 0\nv 1 0\nf 1 2 1", "a.obj", "line 2 holds 2 numbers"),
        (b"v 0 0 0\nv 1 0 one\nf 1 2 1", "a.obj", "line 2: “one” is no number"),
        (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9", "a.obj", "corner 9 of 3"),
        (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 -4", "a.obj", "line 4: a face names a corner that is not there"),
        (b"v 0 0 0\nv 1 0 0\nv 0 1 nan\nf 1 2 3", "a.obj", "1 corners that are not finite"),
        (b"v 0 0 0\nv 1e9 0 0\nv 0 1 0\nf 1 2 3", "a.obj", "further than 10 km"),
        (b"v 0 0 0\nv 0 0 0\nv 0 1 0\nf 1 2 3", "a.obj", "none has an area"),
        (b"ply\nformat ascii 1.0\nelement vertex 9999999\nend_header\n", "a.ply", "9999999 of “vertex”"),
        (b"ply\nformat klingon 1.0\nend_header\n", "a.ply", "text or binary"),
        (b"ply\nformat ascii 1.0\nelement vertex -3\nend_header\n", "a.ply", "line 3: “element vertex -3”"),
        (b"f " + b"1 " * 100_000, "a.obj", "line 1 is over 16384 letters long"),
        (b"v 0 0 0\n" + b"f 1 \\\n" * 9_000, "a.obj", "goes on and on"),
        (b"v 0 0 0\nf 1 1 \\", "a.obj", "its last line goes on"),
        (b"PK\x03\x04 and no more", "a.3mf", "packing cannot be opened"),
        (b"PK\x03\x04", "a.stl", "a packed file and so no .stl"),
        (b"solid", "a.3mf", "no packed file"),
        (b"MZ", "a.exe", "not a mesh slake reads"),
        (b"x", "", "not a mesh slake reads"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_file_is_said_in_one_sentence(content: bytes, name: str, says: str):
    with pytest.raises(Problem) as found:
        read_mesh(content, name)
    assert says in str(found.value) and "\n" not in str(found.value) and len(str(found.value)) < 300


def test_more_triangles_or_bytes_than_are_read_are_refused():
    few = MeshLimits(most_triangles=100, most_bytes=50_000)
    for ending, write in KINDS.values():
        with pytest.raises(Problem, match=r"at most 100|over 300|at most 0 MB"):
            read_mesh(write(ball(fine=2)), "a" + ending, few)


def test_a_file_on_disk_is_refused_by_its_size_before_it_is_read(tmp_path):
    large = tmp_path / "scan.stl"
    with large.open("wb") as file:
        file.truncate(10**12)
    with pytest.raises(Problem, match="has 1000000 MB, but at most 250 MB"):
        read_mesh_file(large)
    with pytest.raises(Problem, match="cannot be read"):
        read_mesh_file(tmp_path / "nobody.stl")
    good = tmp_path / "good.stl"
    good.write_bytes(box().export(file_type="stl"))
    assert volume_m3(read_mesh_file(good)) == approx(6000e-9)


def test_faces_of_many_corners_are_cut_into_triangles():
    """A cube of six squares, named forwards, backwards and with what belongs to no shape."""
    corners = "".join(f"v {x} {y} {z}\n" for x in (0, 1) for y in (0, 1) for z in (0, 1))
    squares = "f 1/1/1 2/2/2 4/3 3//4\nf 5 7 8 6\nf -8 -4 -3 -7\nf 3 4 8 7\nf 1 3 7 5\nf 2 6 8 4\n"
    text = f"mtllib /etc/passwd\n# a cube\n{corners}usemtl x\n{squares}"
    for written in (text, text.replace("\n", "\r\n"), text.replace("\n", "\n   "), text.replace("\n", "\r")):
        assert volume_m3(read_mesh(written.encode(), "a.obj")) == approx(1e-9)
    head = "ply\nformat ascii 1.0\nelement vertex 8\nproperty float x\nproperty float y\nproperty float z\n"
    head += "element face 6\nproperty uchar red\nproperty list uchar int vertex_index\nend_header\n"
    named = [[int(word.split("/")[0]) for word in row.split()[1:]] for row in squares.splitlines()]
    faces = ["9 4 " + " ".join(str(n - 1 if n > 0 else 8 + n) for n in face) for face in named]
    rows = corners.replace("v ", "") + "\n".join(faces)
    assert volume_m3(read_mesh((head + rows).encode(), "a.ply")) == approx(1e-9)


def test_a_binary_ply_of_unlike_faces_in_either_byte_order():
    """A square pyramid: one square and four triangles. Volume a third of base times height."""
    for order, word in (("<", "little"), (">", "big")):
        corners = [(0, 0, 0), (3, 0, 0), (3, 3, 0), (0, 3, 0), (1, 1, 2)]
        faces = [(3, 2, 1, 0), (0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4)]
        head = f"ply\nformat binary_{word}_endian 1.0\nelement vertex 5\nproperty double x\nproperty double y\n"
        head += "property double z\nelement face 5\nproperty list uchar uint vertex_indices\nend_header\n"
        body = b"".join(struct.pack(order + "3d", *corner) for corner in corners)
        body += b"".join(struct.pack(f"{order}B{len(face)}I", len(face), *face) for face in faces)
        assert volume_m3(read_mesh(head.encode() + body, "a.ply")) == approx(6e-9)


def test_bodies_far_from_the_middle_keep_their_volume():
    far = moved(together(box(), moved(box(), 100)), 5000, -3000, 200)
    assert volume_m3(read_mesh(far.export(file_type="stl"), "a.stl")) == approx(12000e-9, rel=1e-4)
    assert volume_m3(ours(far)) == approx(12000e-9, rel=1e-9)
