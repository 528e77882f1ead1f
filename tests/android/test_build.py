"""What `buildozer.spec` asks for holds together, as far as that shows without Android's tools.

Buildozer itself gathers the files here and writes python-for-android's command, and python-for-android itself resolves
the requirements, packs the files and writes the manifest. What follows is the work of a compiler and a phone:
docs/android.md says what that leaves open.
"""

import ast
import importlib
import json
import os
import re
import struct
import subprocess
import sys
import tarfile
import tomllib
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import metadata
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from shared_models.sync.pairing_link import PairingLink

ROOT = Path(__file__).parents[2]
MOBILE = ROOT / "mobile"
SPEC = MOBILE / "buildozer.spec"
PACKAGES = (MOBILE, ROOT / "shared_models")
ANDROID = "{http://schemas.android.com/apk/res/android}"

#: requirements that no desk has, and why
ONLY_ON_A_PHONE = {
    "python3": "the interpreter",
    "hostpython3": "the interpreter that builds it",
    "android": "python-for-android's own",
    "pyjnius": "speaks with Java",
    "six": "pyjnius asks for it",
}
#: what the packages on the phone ask for and do without: the phone's files run without these below
LEFT_OUT = {
    "greenlet": "only SQLAlchemy's asyncio",
    "charset-normalizer": "requests takes chardet",
    "kivy-garden": "Kivy's shelf of extra widgets",
    "docutils": "only Kivy's RstDocument",
    "pygments": "only Kivy's CodeInput",
}
#: modules that Python has on a desk, and not as python-for-android builds it
NOT_IN_ANDROIDS_PYTHON = (
    *("_bz2", "_lzma", "_uuid", "_dbm", "_gdbm", "_curses", "_tkinter", "readline"),
    *("test", "lib2to3", "ensurepip", "idlelib", "tkinter"),
)
#: permission -> the imports, Java classes and requests in the app that need it
NEEDED_FOR = {
    "INTERNET": {"requests", "socket", "urllib.request"},
    "VIBRATE": {"plyer.vibrator"},
    "ACCESS_FINE_LOCATION": {"plyer.gps", "android.location.LocationManager", "Permission.ACCESS_FINE_LOCATION"},
    "ACCESS_COARSE_LOCATION": {"plyer.gps", "android.location.LocationManager", "Permission.ACCESS_COARSE_LOCATION"},
    "ACCESS_NETWORK_STATE": {"android.net.ConnectivityManager"},
    "ACCESS_WIFI_STATE": {"plyer.wifi", "android.net.wifi.WifiManager"},
    "CHANGE_WIFI_MULTICAST_STATE": {"zeroconf", "android.net.wifi.WifiManager$MulticastLock"},
    "CAMERA": {"plyer.camera", "kivy.uix.camera", "Permission.CAMERA"},
    "RECORD_AUDIO": {"plyer.audio", "plyer.stt", "Permission.RECORD_AUDIO"},
    "WAKE_LOCK": {"plyer.keepawake", "android.os.PowerManager"},
    "POST_NOTIFICATIONS": {"plyer.notification", "Permission.POST_NOTIFICATIONS"},
    "BLUETOOTH_CONNECT": {"android.bluetooth.BluetoothAdapter", "Permission.BLUETOOTH_CONNECT"},
    "FOREGROUND_SERVICE": {"android.AndroidService"},
}


# the spec, as buildozer reads it


def read_spec() -> Any:
    spec = importlib.import_module("buildozer.specparser").SpecParser()
    spec.read(SPEC, "utf-8")
    return spec


def required() -> dict[str, str]:
    """The requirements: name -> version."""
    pairs = (line.partition("==") for line in read_spec().getlist("app", "requirements"))
    return {name: version for name, _, version in pairs}


def pinned() -> dict[str, str]:
    """The versions of constraints.txt for the phone's Python."""
    lines = (line.partition("#")[0].strip() for line in (ROOT / "constraints.txt").read_text().splitlines())
    kept = [Requirement(line) for line in lines if line]
    there = {"python_version": ".".join(required()["python3"].split(".")[:2])}
    return {
        canonicalize_name(pin.name): str(pin.specifier).removeprefix("==")
        for pin in kept
        if pin.marker is None or pin.marker.evaluate(there)
    }


def project() -> dict[str, Any]:
    return dict(tomllib.loads((ROOT / "pyproject.toml").read_text())["project"])


def on_a_desk_only() -> set[str]:
    """The modules that the spec leaves out."""
    return {
        each for each in read_spec().getlist("app", "source.exclude_patterns") if each.endswith(".py") and "/" in each
    }


@cache
def modules() -> list[tuple[Path, ast.Module]]:
    everything = (path for package in PACKAGES for path in sorted(package.rglob("*.py")) if "android" not in path.parts)
    paths = [path for path in everything if path.relative_to(ROOT).as_posix() not in on_a_desk_only()]
    return [(path, ast.parse(path.read_text("utf-8"))) for path in paths]


def imported() -> dict[str, str]:
    """Everything the app imports, dotted -> where. `from plyer import gps` counts as plyer and as plyer.gps."""
    found: dict[str, str] = {}
    for path, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                names = [each.name for each in node.names]
            elif isinstance(node, ast.ImportFrom) and node.module:
                names = [node.module, *(f"{node.module}.{each.name}" for each in node.names)]
            else:
                continue
            found |= dict.fromkeys(names, str(path.relative_to(ROOT)))
    return found


# python-for-android's graph of recipes


@dataclass(frozen=True)
class Plan:
    """What python-for-android would build, and what it would leave to pip."""

    recipes: dict[str, Any]
    pure: set[str]
    bootstrap: str


@pytest.fixture(scope="module")
def plan() -> Iterator[Plan]:
    """The requirements, resolved as `p4a create --requirements` does it."""
    graph, build = (importlib.import_module(f"pythonforandroid.{name}") for name in ("graph", "build"))
    recipe = importlib.import_module("pythonforandroid.recipe").Recipe
    context = build.Context()
    with pytest.MonkeyPatch.context() as patch:
        for name, version in required().items():
            if version:
                patch.setenv(f"VERSION_{name}", version)
        recipes, pure, bootstrap = graph.get_recipe_order_and_bootstrap(context, list(required()), None)
        yield Plan({name: recipe.get_recipe(name, context) for name in recipes}, set(pure), bootstrap.name)


def test_every_requirement_is_a_recipe_or_pure_python(plan: Plan) -> None:
    """What has no recipe comes from the pip of the computer that builds: its machine code would be the wrong one."""
    assert plan.bootstrap == "sdl2"
    assert {"python3", "hostpython3", "sqlite3", "openssl", "libffi", "kivy", "sdl2"} <= plan.recipes.keys()
    assert required().keys() - plan.recipes.keys() == plan.pure, "a recipe asks for what has no version here"
    for name in plan.pure - ONLY_ON_A_PHONE.keys():
        wheel = metadata.distribution(name).read_text("WHEEL") or ""
        tags = re.findall(r"^Tag: (.*)$", wheel, re.MULTILINE)
        assert tags, name
        assert all(tag.endswith("-none-any") for tag in tags), f"{name} is not pure Python: {tags}"


def test_recipes_build_the_versions_that_everything_runs_on(plan: Plan) -> None:
    """Nobody has tried a recipe with another version than its own, except for Python's: its recipe knows several."""
    asked = {name: version for name, version in required().items() if version and name in plan.recipes}
    for name, version in asked.items():
        assert plan.recipes[name].version == version
        if "python3" not in name:
            assert plan.recipes[name]._version == version, f"{name}: this python-for-android has another version"
    assert asked["python3"] == asked["hostpython3"]
    assert plan.recipes["python3"].link_version == "3.11"


def test_python_is_the_oldest_that_we_support() -> None:
    """So that no newer feature gets in; and the tests run on it."""
    assert project()["requires-python"] == ">=" + required()["python3"].rpartition(".")[0]


def test_versions_are_those_of_the_constraints() -> None:
    here = {canonicalize_name(name): version for name, version in required().items() if name not in ONLY_ON_A_PHONE}
    assert here == {name: pinned().get(name) for name in here}
    for name, version in here.items():
        assert metadata.version(name) == version


def test_names_are_as_python_for_android_compares_them(plan: Plan) -> None:
    """Else, where pip can resolve them, it would add a second version of the same package."""
    assert [name for name in plan.pure if name != name.lower().replace("-", "_")] == []


def test_what_a_requirement_asks_for_is_there(plan: Plan) -> None:
    """Packages without a recipe are installed with --no-deps."""
    there = {canonicalize_name(name) for name in plan.recipes.keys() | plan.pure}
    phone = {"extra": "", "platform_machine": "aarch64", "sys_platform": "linux", "platform_system": "Linux"}
    for name in required().keys() - ONLY_ON_A_PHONE.keys():
        for line in metadata.requires(name) or ():
            needs = Requirement(line)
            if needs.marker is None or needs.marker.evaluate(phone):
                needed = canonicalize_name(needs.name)
                assert needed in there | LEFT_OUT.keys(), f"{name} needs {needed}"


def test_everything_the_project_asks_for_on_a_phone_is_required() -> None:
    asked = [*project()["dependencies"], *project()["optional-dependencies"]["phone"]]
    assert {canonicalize_name(Requirement(each).name) for each in asked} <= {
        canonicalize_name(name) for name in required()
    }


def test_everything_the_app_imports_is_required() -> None:
    ours = {package.name for package in PACKAGES}
    brings = {"jnius": ["pyjnius"], "android": ["android"], **metadata.packages_distributions()}
    names = {canonicalize_name(name) for name in required()}
    for module, where in imported().items():
        top = module.partition(".")[0]
        if top not in sys.stdlib_module_names | ours | {"__future__"}:
            assert names & {canonicalize_name(name) for name in brings.get(top, [])}, f"{where} imports {module}"


# what is asked of the phone


def test_permissions_are_those_that_the_code_uses() -> None:
    used = set(imported())
    for _, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                used.add(node.value)
            elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                used.add(f"{node.value.id}.{node.attr}")
    asked = [name.removeprefix("android.permission.") for name in read_spec().getlist("app", "android.permissions")]
    assert set(asked) == {name for name, reasons in NEEDED_FOR.items() if reasons & used}
    assert {name for name in used if name.startswith("Permission.")} <= {f"Permission.{name}" for name in asked}


def test_every_permission_has_its_reason_beside_it() -> None:
    lines = SPEC.read_text("utf-8").splitlines()
    for place, line in enumerate(lines):
        if line.startswith("    android.permission."):
            assert lines[place - 1].startswith("    # "), line


def test_speech_may_be_asked_for_only_where_the_manifest_says_so() -> None:
    """Since Android 11 an app sees no voice that its manifest does not ask after."""
    named = {node.value for _, tree in modules() for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    speaks = "plyer.tts" in imported() or "android.speech.tts.TextToSpeech" in named
    assert speaks == ("android.intent.action.TTS_SERVICE" in (MOBILE / "android" / "features.xml").read_text())


def test_apis_are_those_that_python_for_android_is_tested_with() -> None:
    advice = importlib.import_module("pythonforandroid.recommendations")
    spec = read_spec()
    assert spec.get("app", "android.api") == str(advice.RECOMMENDED_TARGET_API)
    assert spec.get("app", "android.minapi") == spec.get("app", "android.ndk_api") == str(advice.RECOMMENDED_NDK_API)
    assert spec.get("app", "android.ndk") == advice.RECOMMENDED_NDK_VERSION
    version = importlib.import_module("pythonforandroid").__version__
    assert spec.get("app", "p4a.commit") == f"v{version}"


@pytest.mark.parametrize(
    ("option", "pixels"),
    [
        ("icon.filename", 512),
        ("icon.adaptive_foreground.filename", 432),
        ("icon.adaptive_background.filename", 432),
        ("presplash.filename", 1024),
    ],
)
def test_pictures_have_the_sizes_that_android_asks_for(option: str, pixels: int) -> None:
    start = (MOBILE / read_spec().get("app", option)).read_bytes()[:24]
    assert start.startswith(b"\x89PNG\r\n\x1a\n")
    assert struct.unpack(">II", start[16:24]) == (pixels, pixels)


def test_the_splash_stands_on_the_paper_of_the_first_frame() -> None:
    theme = importlib.import_module("mobile.screens.base.theme")
    assert read_spec().get("app", "android.presplash_color") == theme.SUN.paper


# packed


@dataclass(frozen=True)
class Packed:
    """What buildozer gathered, and what python-for-android made of it."""

    gathered: set[str]
    files: Path
    manifest: ET.Element
    res: Path


def read_xml(path: Path) -> ET.Element:
    return ET.parse(path).getroot()  # noqa: S314 - our own file


def read_xml_part(path: Path) -> ET.Element:
    """A piece of the manifest, which stands in a file of its own."""
    return ET.fromstring(f'<part xmlns:android="{ANDROID[1:-1]}">{path.read_text("utf-8")}</part>')  # noqa: S314 - as above


class _Asked(Exception):
    """Buildozer has said what python-for-android is to do."""


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> Packed:
    """The app, gathered by buildozer and packed by python-for-android, up to where Android's tools would be needed."""
    work = tmp_path_factory.mktemp("android")
    with pytest.MonkeyPatch.context() as patch, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # they leave files open
        patch.setenv("HOME", str(work / "home"))
        patch.setenv("BUILDOZER_BUILD_DIR", str(work / "build"))
        patch.setenv("BUILDOZER_BIN_DIR", str(work / "bin"))
        patch.setenv("BUILDOZER_LOG_LEVEL", "0")
        patch.chdir(MOBILE)
        app, dist, command = _gather()
    gathered = {path.relative_to(app).as_posix() for path in app.rglob("*") if path.is_file()}
    _hook(app)
    _pack(dist, command)
    with tarfile.open(dist / "src/main/assets/private.tar") as tar:
        tar.extractall(work / "files", filter="data")
    compiler = [sys.executable, "-OO", "-m", "compileall", "-b", "-q", str(work / "files")]
    subprocess.run(compiler, check=True)  # noqa: S603 - our own command
    for source in (work / "files").rglob("*.py"):
        source.unlink()
    main = dist / "src" / "main"
    return Packed(gathered, work / "files", read_xml(main / "AndroidManifest.xml"), main / "res")


def _gather() -> tuple[Path, Path, list[str]]:
    """Buildozer's part: the folder with the app's files, the one to pack them in, and its command to do that."""
    buildozer = importlib.import_module("buildozer").Buildozer(SPEC.name, "android")
    buildozer.build_application()
    dist = Path(buildozer.target.get_dist_dir("rowend"))
    _lay_out(dist)
    said: list[str] = []

    def hear(command: list[str], *_: object, **__: object) -> None:
        said.extend(command)
        raise _Asked

    buildozer.target._p4a = hear
    buildozer.target.build_mode = "debug"
    with pytest.raises(_Asked):
        buildozer.target.build_package()
    return Path(buildozer.app_dir), dist, said


def _hook(app: Path) -> None:
    """What python-for-android's toolchain does with our hook."""
    load_source = importlib.import_module("pythonforandroid.util").load_source
    hook = load_source("rowend_hook", str(MOBILE / read_spec().get("app", "p4a.hook")))
    hook.before_apk_build(SimpleNamespace(args=SimpleNamespace(private=str(app))))


def _lay_out(dist: Path) -> None:
    """What python-for-android puts into such a folder, but for what it compiles."""
    bootstraps = Path(str(importlib.import_module("pythonforandroid").__file__)).parent / "bootstraps"
    for layer in ("common", "_sdl_common", "sdl2"):
        for path in (bootstraps / layer / "build").rglob("*"):
            if path.is_file() and path.suffix != ".pyc":
                place = dist / path.relative_to(bootstraps / layer / "build")
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(path.read_bytes())
    for folder in ("_python_bundle__arm64-v8a", "libs/arm64-v8a", "sdk/build-tools/35.0.0", "src/main/res/drawable"):
        (dist / folder).mkdir(parents=True, exist_ok=True)
    for folder in ("mipmap", "mipmap-anydpi-v26"):
        (dist / "src/main/res" / folder).mkdir(parents=True, exist_ok=True)
    about = {"hostpython": sys.executable, "bootstrap": "sdl2", "ndk_api": 24, "archs": ["arm64-v8a"]}
    (dist / "dist_info.json").write_text(json.dumps(about))
    (dist / "project.properties").write_text(f"target=android-{read_spec().get('app', 'android.api')}")
    (dist / "local.properties").write_text(f"sdk.dir={dist / 'sdk'}")


def _pack(dist: Path, command: list[str]) -> None:
    """python-for-android's part."""
    packer = subprocess.run(  # noqa: S603 - our own command
        [sys.executable, "-c", PACKER, *command], cwd=dist, capture_output=True, text=True, check=False
    )
    assert packer.returncode == 0, packer.stdout + packer.stderr


PACKER = """
import argparse
from pythonforandroid.util import load_source
toolchain = argparse.ArgumentParser(allow_abbrev=False)  # it keeps these to itself
toolchain.add_argument("format", choices=["apk"])
for option in ("--bootstrap", "--dist_name", "--ndk-api", "--arch"):
    toolchain.add_argument(option)
toolchain.add_argument("--copy-libs", action="store_true")
handed_on = [*toolchain.parse_known_args()[1], "--no-byte-compile-python"]  # one at a time; we do them all at once
load_source("build", "build.py").parse_args_and_make_package(handed_on)
"""


def test_all_of_the_app_and_nothing_else_is_packed(packed: Packed) -> None:
    """A file of a kind that the spec does not name would be missing only on the phone."""
    ours = {
        path.relative_to(ROOT).as_posix()
        for package in PACKAGES
        for path in package.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and MOBILE / "android" not in path.parents
        if path.suffix != ".mo"  # compiled anew by the hook
    }
    assert packed.gathered == (ours - {"mobile/buildozer.spec"} - on_a_desk_only()) | {"sitecustomize.py"}
    compiled = {re.sub(r"\.po$", ".mo", re.sub(r"\.py$", ".pyc", name)) for name in packed.gathered | {"main.py"}}
    there = {path.relative_to(packed.files).as_posix() for path in packed.files.rglob("*") if path.is_file()}
    assert there == compiled | {"p4a_env_vars.txt"}


def test_the_packed_app_runs_on_what_is_required(packed: Packed, tmp_path: Path) -> None:
    """Every module is imported, and a whole day planted, from the files as the phone has them.

    They are compiled, without docstrings and asserts; beside them is nothing but the required packages, and SQLAlchemy
    without its machine code, as its recipe installs it; and what Android's Python lacks is not there.
    """
    site = _site_packages(tmp_path / "site")
    inherited = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "COV_"))}
    there = {
        "PYTHONPATH": f"{packed.files}{os.pathsep}{site}",
        "HOME": str(tmp_path),
        "PYTHONTZPATH": "",  # Android keeps its time zones elsewhere
        "KIVY_NO_ARGS": "1",
        "DISABLE_SQLALCHEMY_CEXT_RUNTIME": "1",
    }
    phone = [sys.executable, "-S", "-OO", "-W", "error", "-c", PHONE, str(tmp_path / "phone"), *NOT_IN_ANDROIDS_PYTHON]
    runs = subprocess.run(  # noqa: S603 - our own command
        phone, cwd=packed.files, env=inherited | there, capture_output=True, text=True, check=False
    )
    assert runs.returncode == 0, runs.stderr[-4000:]
    assert int(runs.stdout) > 100


def _site_packages(folder: Path) -> Path:
    """A folder with the required packages alone."""
    folder.mkdir()
    for name in required().keys() - ONLY_ON_A_PHONE.keys():
        distribution = metadata.distribution(name)
        for top in {file.parts[0] for file in distribution.files or ()} - {"..", "__pycache__"}:
            (folder / top).symlink_to(Path(str(distribution.locate_file(top))))
    return folder


PHONE = """
import sys
folder, *absent = sys.argv[1:]
sys.modules |= dict.fromkeys(absent)
import importlib, pathlib, pkgutil, runpy
runpy.run_path("main.pyc", run_name="entry")
import mobile, shared_models
for package in (mobile, shared_models):
    if pathlib.Path(package.__file__).suffix != ".pyc":
        raise SystemExit(f"{package.__file__} is not what was packed")
    for module in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        importlib.import_module(module.name)
if "kivy.core.window" in sys.modules:
    raise SystemExit("a window was opened by an import")
from mobile.demo.story import FIRST_DAY, script
from mobile.demo.fake_phone import FakePhone
from mobile.i18n.localizer import Localizer
from datetime import UTC, datetime, time
class Keys:
    def create(self):
        return b"key"
    def sign(self, key, message):
        return b"signature"
    def verify(self, key, message, signature):
        return True
phone = FakePhone(pathlib.Path(folder), datetime.combine(FIRST_DAY, time(10), UTC), open_keystore=lambda _: Keys())
if Localizer("es").t("today") != "hoy":
    raise SystemExit("the translations were not packed")
print(sum(1 for _ in script(phone)))
"""


def test_the_app_is_never_copied_by_a_backup(packed: Packed) -> None:
    """A log that goes on from an old copy of itself is a fork."""
    application = packed.manifest.find("application")
    assert application is not None
    assert application.get(f"{ANDROID}allowBackup") == "false"
    rules_name = str(application.get(f"{ANDROID}dataExtractionRules")).removeprefix("@xml/")
    rules = read_xml(packed.res / "xml" / f"{rules_name}.xml")
    domains = ["root", "file", "database", "sharedpref", "external"]
    found = {section.tag: [(rule.tag, rule.get("domain"), rule.get("path")) for rule in section] for section in rules}
    everything = [("exclude", each, ".") for each in domains]
    assert found == {"cloud-backup": everything, "device-transfer": everything}


def test_the_manifest_says_what_the_spec_asks_for(packed: Packed) -> None:
    manifest, spec = packed.manifest, read_spec()
    assert manifest.get(f"{ANDROID}versionName") == project()["version"]
    sdk = manifest.find("uses-sdk")
    assert sdk is not None
    assert [sdk.get(f"{ANDROID}{bound}SdkVersion") for bound in ("min", "target")] == ["24", "33"]
    asked = [each.get(f"{ANDROID}name") for each in manifest.iter("uses-permission")]
    assert asked == spec.getlist("app", "android.permissions")
    for feature in manifest.iter("uses-feature"):
        assert feature.get(f"{ANDROID}glEsVersion") or feature.get(f"{ANDROID}required") == "false"
    assert (packed.res / "mipmap" / "icon_foreground.png").exists()


def test_the_keys_come_to_the_app_through_an_activity_of_its_own(packed: Packed) -> None:
    """Its Java stands where Android's tools will compile it, and is what the app's code calls."""
    activity = packed.manifest.find("application/activity")
    assert activity is not None
    name = str(activity.get(f"{ANDROID}name"))
    source = MOBILE / "android" / "java" / Path(*name.split(".")).with_suffix(".java")
    java = source.read_text("utf-8")
    assert "public class RowActivity extends PythonActivity" in java
    assert "public static void takeKeys(boolean on)" in java
    assert str(MOBILE / "android" / "java") in (packed.res.parents[2] / "build.gradle").read_text("utf-8")
    named = {node.value for _, tree in modules() for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    assert name in named


def test_the_manifest_asks_after_a_voice(packed: Packed) -> None:
    asked = [action.get(f"{ANDROID}name") for action in packed.manifest.iterfind("queries/intent/action")]
    assert "android.intent.action.TTS_SERVICE" in asked


def test_a_pairing_link_opens_the_app_that_already_runs(packed: Packed) -> None:
    activity = packed.manifest.find("application/activity")
    assert activity is not None
    assert activity.get(f"{ANDROID}screenOrientation") == "portrait"
    assert activity.get(f"{ANDROID}launchMode") == "singleTask"
    links = {
        (data.get(f"{ANDROID}scheme"), data.get(f"{ANDROID}host")): {
            each.get(f"{ANDROID}name", "").rpartition(".")[2] for each in filters if each.tag in {"action", "category"}
        }
        for filters in activity.iter("intent-filter")
        for data in filters.iter("data")
    }
    assert links == {("rowend", "pair"): {"VIEW", "DEFAULT", "BROWSABLE"}}


def test_the_links_that_open_the_app_are_those_it_reads() -> None:
    filters = read_xml_part(MOBILE / "android" / "intent_filters.xml")
    (data,) = filters.iter("data")
    start = f"{data.get(f'{ANDROID}scheme')}://{data.get(f'{ANDROID}host')}?"

    assert str(PairingLink(("http://barn.local",), "BCDFGHJK")).startswith(start)


def test_what_the_app_hears_of_android_is_told_by_python_for_android() -> None:
    """A followed link and a chosen file come through these two; a name that it does not know would end the app."""
    recipe = Path(str(importlib.import_module("pythonforandroid.recipes.android").__file__)).parent
    events = re.findall(r"^    '(on_\w+)': \[\]", (recipe / "src/android/activity.py").read_text("utf-8"), re.MULTILINE)
    bound = {
        keyword.arg
        for _, tree in modules()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "bind"
        for keyword in node.keywords
        if "events" in ast.unparse(node.func.value)
    }

    assert bound == {"on_new_intent", "on_activity_result"}
    assert bound <= set(events)


def test_bundles_and_the_search_for_the_service_ask_for_no_permission() -> None:
    """The person chooses files in the system's own picker, and Android itself looks around on the network."""
    asked = {name.rpartition(".")[2] for name in read_spec().getlist("app", "android.permissions")}

    assert asked.isdisjoint({"READ_EXTERNAL_STORAGE", "WRITE_EXTERNAL_STORAGE", "MANAGE_EXTERNAL_STORAGE"})
    assert "CHANGE_WIFI_MULTICAST_STATE" not in asked
