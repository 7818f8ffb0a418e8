"""Signatures and keys against published values (RFC 8037, appendix A; RFC 8032, section 7.1) and against an independent library."""

import json
import warnings
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from joserfc import jws
from joserfc.errors import JoseError
from joserfc.jwk import OKPKey
from tests.sealing.cases import KEY, OFFER, ON, SEALS, TOKEN

from evenhang.sealing.keys import PRINTED, load_seals, public_set, thumbprint, to_bytes, to_text, write_new_key
from evenhang.sealing.seal import seal, unseal

# RFC 8037: A.1 the private key, A.2 its public half, A.3 its thumbprint, A.4 the signed text and the JWS that comes of it.
D = "nWGxne_9WmC6hEr0kuwsxERJxWl7MmkZcDusAxyuf2A"
X = "11qYAYKxCrfVS_7TyWQHOg7hcvPapiMlrwIaaPcHURo"
KID = "kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k"
SIGNED = "eyJhbGciOiJFZERTQSJ9.RXhhbXBsZSBvZiBFZDI1NTE5IHNpZ25pbmc"
SIGNATURE = "hgyY0il_MGCjP0JzlnLWG1PPOt7-09PGcvMg3AIbQR6dWbhijcNR4ki4iylGjg5BhVsPt9g7sVvpAr_MuM0KAg"
# RFC 8032, section 7.1, TEST 1: the same key in hexadecimal, and its signature of the empty message.
SECRET = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
OF_NOTHING = (
    "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
)


def test_the_thumbprint_of_rfc_8037() -> None:
    assert thumbprint({"kty": "OKP", "crv": "Ed25519", "x": X}) == KID == PRINTED


def test_the_demo_key_is_the_printed_one_and_signs_as_printed() -> None:
    assert (KEY.kid, to_text(KEY.verifier.public_bytes_raw())) == (KID, X)
    assert KEY.signer
    assert (to_text(KEY.signer.private_bytes_raw()), KEY.signer.private_bytes_raw().hex()) == (D, SECRET)
    assert to_text(KEY.signer.sign(SIGNED.encode())) == SIGNATURE
    assert KEY.signer.sign(b"").hex() == OF_NOTHING
    KEY.verifier.verify(to_bytes(SIGNATURE), SIGNED.encode())


def test_the_public_set_is_the_printed_key() -> None:
    key = {"kty": "OKP", "crv": "Ed25519", "x": X, "kid": KID, "use": "sig", "alg": "EdDSA"}
    assert json.loads(public_set(SEALS)) == {"keys": [key]}


def read_elsewhere(token: str, key: OKPKey) -> bytes:
    """The payload by the reference library; it warns that RFC 9864 prefers a newer name for the same algorithm."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return jws.deserialize_compact(token, key, algorithms=["EdDSA"]).payload


def test_an_independent_library_reads_what_is_sealed() -> None:
    public = json.loads(public_set(SEALS))["keys"][0]
    said = json.loads(read_elsewhere(TOKEN, OKPKey.import_key(public)))
    assert (said["price"], said["last"]) == ("940.00 EUR", "2026-05-31")
    head, payload, signature = TOKEN.split(".")
    with pytest.raises(JoseError):
        read_elsewhere(f"{head}.{payload}.{signature[:-4]}AAAA", OKPKey.import_key(public))


def test_what_an_independent_library_seals_is_read_here() -> None:
    payload = to_bytes(TOKEN.split(".")[1])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        header = {"alg": "EdDSA", "kid": KID, "typ": "evenhang-offer"}
        key = OKPKey.import_key({"kty": "OKP", "crv": "Ed25519", "x": X, "d": D})
        made = jws.serialize_compact(header, payload, key, algorithms=["EdDSA"])
    assert (made, unseal(made, SEALS)) == (TOKEN, OFFER)


def test_keys_in_pem_and_as_jwk_are_the_same(tmp_path: Path) -> None:
    """The reference library writes PEM (RFC 8410) and reads ours."""
    file, kid = write_new_key(tmp_path, ON)
    key = OKPKey.import_key(json.loads(file.read_text()))
    assert key.thumbprint() == kid
    pem = tmp_path / "2026-05-01.pem"
    pem.write_bytes(key.as_pem(private=True))
    signing = load_seals(pem).signs_on(ON)
    assert signing
    assert (signing.kid, seal(OFFER, signing)) == (kid, seal(OFFER, load_seals(file).keys[kid]))
    pem.write_bytes(key.as_pem(private=False))
    assert load_seals(pem).keys[kid].signer is None


def test_the_secret_of_rfc_8032_gives_the_same_key() -> None:
    assert to_text(Ed25519PrivateKey.from_private_bytes(bytes.fromhex(SECRET)).public_key().public_bytes_raw()) == X
