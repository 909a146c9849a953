"""A topic of a real broker on this machine, by the package and by the program; and what is no address."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest
from heard import Heard, until
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.mqtt_topic import PROGRAM, Address, MqttSource, address_of, message_of

TOPIC = "lock-seven/mash"
BROKER = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin:/usr/local/sbin")
PUBLISHER = shutil.which("mosquitto_pub")

has_broker = pytest.mark.skipif(
    BROKER is None or PUBLISHER is None, reason="no mosquitto and mosquitto_pub are here to publish anything"
)


def test_an_address_is_a_host_perhaps_a_port_and_one_topic():
    assert address_of("localhost/mash/temperature") == Address("localhost", None, "mash/temperature")
    assert address_of("10.0.0.7:1884/a b") == Address("10.0.0.7", 1884, "a b")
    assert address_of("[::1]:1884/mash") == Address("::1", 1884, "mash")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "localhost",
        "localhost/",
        "/mash",
        "a/+",
        "a/b/#",
        "a:0/b",
        "a:65536/b",
        "a b/c",
        "a/b\nc",
        "-\n/x",
    ],
)
def test_what_is_no_address_of_one_topic_is_none(text):
    assert address_of(text) is None


def test_a_source_of_no_address_is_refused():
    with pytest.raises(ValueError, match="is not host/topic of one topic"):
        MqttSource("localhost")


def test_a_line_of_the_program_is_a_payload_and_whether_it_was_kept():
    # The form is that of the manual page of mosquitto_sub, output format %j.
    assert message_of('{"topic":"t","qos":0,"retain":0,"payload":"64.5"}') == ("64.5", False)
    assert message_of('{"retain":1,"payload":"64.5"}') == ("64.5", True)
    assert message_of('{"retain":0,"payload":64.5}') == ("64.5", False)


@given(st.text(max_size=80))
def test_any_other_line_of_the_program_is_left_out(line):
    assert message_of(line) is None


def test_without_package_and_program_the_remedy_is_told(monkeypatch):
    monkeypatch.setitem(sys.modules, "paho", None)
    monkeypatch.setitem(sys.modules, "paho.mqtt", None)
    monkeypatch.setattr("mashday.channels.mqtt_topic.shutil.which", lambda program: None)
    heard = Heard()
    source = MqttSource(f"localhost/{TOPIC}")
    source.start(heard.take, heard.lost)
    until(lambda: heard.words)
    source.stop()
    assert heard.words == [
        'install the extra for MQTT: pip install "mashday[mqtt]", or the program mosquitto_sub'
    ]


class Broker:
    """A broker on a free port of this machine."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._configuration = folder / "broker.conf"
        self._configuration.write_text(f"listener {self.port} 127.0.0.1\nallow_anonymous true\n")
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        self._process = subprocess.Popen(
            [BROKER or "", "-c", str(self._configuration)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until(self._answers)

    def stop(self) -> None:
        if self._process is not None:
            self._process.terminate()
            self._process.wait()

    def publish(self, payload: str, *more: str) -> None:
        to = ["-h", "127.0.0.1", "-p", str(self.port), "-t", TOPIC]
        subprocess.run([PUBLISHER or "", *to, "-m", payload, *more], check=True, stderr=subprocess.DEVNULL)

    def _answers(self) -> bool:
        try:
            socket.create_connection(("127.0.0.1", self.port)).close()
        except OSError:
            return False
        return True


@pytest.fixture
def broker(tmp_path):
    broker = Broker(tmp_path)
    yield broker
    broker.stop()


@pytest.fixture(params=["package", "program"])
def way(request, monkeypatch):
    if request.param == "package":
        if find_spec("paho") is None:
            pytest.skip("paho-mqtt is not installed")
    else:
        if shutil.which(PROGRAM) is None:
            pytest.skip(f"{PROGRAM} is not installed")
        monkeypatch.setitem(sys.modules, "paho", None)
        monkeypatch.setitem(sys.modules, "paho.mqtt", None)
    return request.param


@pytest.fixture
def heard():
    return Heard()


@pytest.fixture
def source(way, broker):
    source = MqttSource(f"127.0.0.1/{TOPIC}", broker.port)
    yield source
    source.stop()


@has_broker
def test_fresh_messages_come_as_lines_and_a_kept_one_as_such(source, broker, heard):
    broker.start()
    broker.publish("20.0", "-r")
    source.start(heard.take, heard.lost)
    until(lambda: heard.retained == ["20.0"])
    assert heard.lines == []
    broker.publish("64.5", "-r")
    until(lambda: heard.lines == ["64.5"])
    broker.publish('{"temperature": 64.6}')
    until(lambda: heard.lines[-1] == '{"temperature": 64.6}')
    assert heard.retained == ["20.0"]


@pytest.mark.long
@has_broker
def test_a_broker_that_is_not_there_is_told_and_heard_when_it_comes(source, broker, heard):
    source.start(heard.take, heard.lost)
    until(lambda: heard.words)
    assert heard.words[0].startswith(f"no MQTT broker answers at '127.0.0.1' port {broker.port}")
    broker.start()

    def came():
        broker.publish("64.5")
        return heard.lines

    until(came)


@pytest.mark.long
@has_broker
@pytest.mark.parametrize("way", ["package"], indirect=True)
def test_a_broker_that_goes_away_and_comes_back_is_told(source, broker, heard):
    broker.start()
    broker.publish("64.5", "-r")
    source.start(heard.take, heard.lost)
    until(lambda: heard.retained)
    broker.stop()
    until(lambda: heard.words)
    assert "is gone" in heard.words[0]
    broker.start()
    until(lambda: "is back" in heard.words[-1])


@has_broker
def test_after_the_stop_nothing_is_told(source, broker, heard):
    broker.start()
    broker.publish("20.0", "-r")
    source.start(heard.take, heard.lost)
    until(lambda: heard.retained)
    source.stop()
    broker.publish("64.5")
    assert (heard.lines, heard.words) == ([], [])
