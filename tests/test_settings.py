"""Settings come from the environment, and every problem with them is reported at once."""

from __future__ import annotations

import pytest

from tracker.settings import VARIABLES, BadSettings, Settings


def test_nothing_set_gives_a_file_where_this_persons_data_lies() -> None:
    settings = Settings.from_environment({"HOME": "/home/ines"})

    assert settings.database == "/home/ines/.local/share/footring/footring.db"
    assert (settings.host, settings.port, settings.secure_cookies) == ("127.0.0.1", 8000, False)


def test_every_setting_is_read() -> None:
    settings = Settings.from_environment(
        {
            "FOOTRING_DATABASE": "postgresql://studio@db/footring",
            "FOOTRING_ADDRESS": "https://kilns.example.edu/",
            "FOOTRING_HOST": "0.0.0.0",  # noqa: S104 -- the setting is read, nothing listens
            "FOOTRING_PORT": "8080",
            "FOOTRING_SECURE_COOKIES": "no",
            "FOOTRING_THREADS": "4",
            "FOOTRING_PROXIES": "1",
            "FOOTRING_PHOTOS": "/srv/photos",
            "PATH": "/bin",
        }
    )

    assert settings == Settings(
        database="postgresql://studio@db/footring",
        address="https://kilns.example.edu",
        host="0.0.0.0",  # noqa: S104 -- as above
        port=8080,
        secure_cookies=False,
        threads=4,
        proxies=1,
        photos="/srv/photos",
    )


def test_an_https_address_makes_cookies_secure_without_being_told() -> None:
    assert Settings.from_environment({"FOOTRING_ADDRESS": "https://kilns.example.edu"}).secure_cookies


def test_a_database_on_the_command_line_goes_before_the_environment() -> None:
    settings = Settings.from_environment({"FOOTRING_DATABASE": "a.db"}, database="b.db")

    assert settings.database == "b.db"


def test_every_problem_is_reported_at_once() -> None:
    environment = {
        "FOOTRING_DATABASE": "mysql://x",
        "FOOTRING_ADDRESS": "kilns",
        "FOOTRING_HOST": "a b",
        "FOOTRING_PORT": "70000",
        "FOOTRING_PHOTOS": "ftp://attic",
        "FOOTRING_SECURE_COOKIES": "maybe",
        "FOOTRING_THREADS": "٣",
        "FOOTRING_PROXIES": "-1",
        "FOOTRING_LOG": "all",
        "FOOTRING_METRICS_TOKEN": "short",
        "FOOTRING_COLOR": "red",
    }

    with pytest.raises(BadSettings) as caught:
        Settings.from_environment(environment)

    assert len(caught.value.problems) == len(environment)
    assert set(VARIABLES) < {problem.split(":")[0] for problem in caught.value.problems} | {"FOOTRING_COLOR"}
