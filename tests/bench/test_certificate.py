"""The certificate that the bench signs itself, and one that is given."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from heelball.bench.certificate import check_given, fingerprint, own_certificate
from heelball.errors import UsageError

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
NAMES = ("localhost", "127.0.0.1", "bench.example")


def test_it_is_made_once_and_private(tmp_path: Path):
    certificate, key = own_certificate(tmp_path, NAMES, NOW)
    before = fingerprint(certificate)
    assert key.stat().st_mode & 0o777 == 0o600
    own_certificate(tmp_path, reversed(NAMES), NOW + timedelta(days=700))
    assert fingerprint(certificate) == before
    check_given(certificate, key)


def test_it_names_what_the_bench_answers_to(tmp_path: Path):
    certificate, _ = own_certificate(tmp_path, NAMES, NOW)
    read = x509.load_pem_x509_certificate(certificate.read_bytes())
    names = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert set(names.get_values_for_type(x509.DNSName)) == {"localhost", "bench.example"}
    assert [str(at) for at in names.get_values_for_type(x509.IPAddress)] == ["127.0.0.1"]
    assert read.not_valid_after_utc - read.not_valid_before_utc <= timedelta(days=825)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda made, _: own_certificate(made.parent, NAMES, NOW + timedelta(days=801)),
        lambda made, _: own_certificate(made.parent, [*NAMES, "192.0.2.7"], NOW),
        lambda _, key: (key.write_text("no key"), own_certificate(key.parent, NAMES, NOW)),
        lambda made, _: (made.unlink(), own_certificate(made.parent, NAMES, NOW)),
    ],
    ids=["run out", "another name", "spoilt key", "lost"],
)
def test_it_is_made_anew_where_it_serves_no_longer(tmp_path: Path, spoil):
    certificate, key = own_certificate(tmp_path, NAMES, NOW)
    before = fingerprint(certificate)
    spoil(certificate, key)
    assert fingerprint(certificate) != before
    check_given(certificate, key)


def test_given_files_that_do_not_belong_together_are_a_sentence(tmp_path: Path):
    certificate, _ = own_certificate(tmp_path / "one", NAMES, NOW)
    _, other = own_certificate(tmp_path / "two", NAMES, NOW)
    with pytest.raises(UsageError, match="not a certificate and its key"):
        check_given(certificate, other)
    with pytest.raises(UsageError, match="There is no file"):
        check_given(certificate, tmp_path / "none.pem")
