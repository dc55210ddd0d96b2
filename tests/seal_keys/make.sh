#!/bin/sh
# Makes the keys of this folder again with openssl. They sign nothing but tests.
# The passphrase of each locked file is "three blue" without the quotes.
set -eu
cd "$(dirname "$0")"
pass=pass:'three blue'
new() { # name, key options
    name=$1
    shift
    openssl req -x509 -newkey "$@" -nodes -keyout "$name.key" -out "$name.crt" -days 7300 \
        -subj "/O=Harbour Lane Electric/CN=Tomas Brandt" -addext keyUsage=critical,digitalSignature,nonRepudiation
}
new rsa2048 rsa:2048
new rsa4096 rsa:4096
new rsa1024 rsa:1024
new p256 ec -pkeyopt ec_paramgen_curve:P-256
new p384 ec -pkeyopt ec_paramgen_curve:P-384
new p521 ec -pkeyopt ec_paramgen_curve:P-521
for name in rsa2048 rsa4096 rsa1024 p256 p384 p521; do
    openssl pkcs12 -export -inkey $name.key -in $name.crt -out $name.p12 -passout "$pass"
done
old() { openssl pkcs12 -export -legacy -inkey rsa2048.key -in rsa2048.crt -passout "$pass" "$@"; }
old -keypbe PBE-SHA1-3DES -certpbe PBE-SHA1-RC2-40 -out old-rc2-40.p12
old -keypbe PBE-SHA1-RC2-128 -certpbe PBE-SHA1-2DES -out old-rc2-128.p12
old -keypbe PBE-SHA1-RC4-128 -certpbe PBE-SHA1-3DES -out old-rc4.p12
openssl pkcs12 -export -inkey p256.key -in p256.crt -passout pass: -out no-passphrase.p12
openssl pkcs12 -export -inkey p256.key -in p256.crt -keypbe NONE -certpbe NONE -passout "$pass" -out unencrypted.p12
openssl pkcs12 -export -inkey p256.key -in p256.crt -keypbe AES-128-CBC -certpbe AES-192-CBC -macalg sha512 -passout "$pass" -out aes128.p12
openssl pkcs12 -export -inkey p256.key -in p384.crt -nokeys -passout "$pass" -out no-key.p12
# An identity with an issuer behind it.
openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-384 -nodes -keyout root.key -out root.crt -days 7300 \
    -subj "/O=Guild of Invented Electricians/CN=Guild Root" -addext basicConstraints=critical,CA:TRUE
openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout issued.key -out issued.csr \
    -subj "/O=Harbour Lane Electric/CN=Ines Moreau"
printf 'basicConstraints=critical,CA:FALSE\nkeyUsage=critical,digitalSignature,nonRepudiation\nextendedKeyUsage=1.3.6.1.5.5.7.3.36\nauthorityKeyIdentifier=keyid\n' > issued.ext
openssl x509 -req -in issued.csr -CA root.crt -CAkey root.key -set_serial 4711 -days 7300 -extfile issued.ext -out issued.crt
openssl pkcs12 -export -inkey issued.key -in issued.crt -certfile root.crt -passout "$pass" -out issued.p12
# An authority that stamps times (RFC 3161, 2.3).
openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout tsa.key -out tsa.csr \
    -subj "/O=Guild of Invented Electricians/CN=Guild Clock"
printf 'basicConstraints=critical,CA:FALSE\nkeyUsage=critical,digitalSignature\nextendedKeyUsage=critical,timeStamping\n' > tsa.ext
openssl x509 -req -in tsa.csr -CA root.crt -CAkey root.key -set_serial 4712 -days 7300 -extfile tsa.ext -out tsa.crt
# Lists of revoked certificates: none, and the one that is issued above.
list() { # file, lines of the register
    ca=$(mktemp -d)
    printf "$2" > "$ca/register"
    printf '[ca]\ndefault_ca=here\n[here]\ndatabase=%s/register\ndefault_md=sha384\ndefault_crl_days=7300\ncrl_extensions=extra\n[extra]\nauthorityKeyIdentifier=keyid\n' "$ca" > "$ca/ca.cnf"
    openssl ca -gencrl -config "$ca/ca.cnf" -cert root.crt -keyfile root.key -out "$1"
    rm -rf "$ca"
}
list nobody.crl ''
list ines.crl 'R\t461125000000Z\t260101000000Z\t1267\tunknown\t/CN=Ines Moreau\n'
# PEM forms.
cat p256.crt p256.key > pair.pem
openssl pkcs8 -topk8 -in p384.key -out locked.pem -passout "$pass"
openssl ec -in p384.key -out sec1.pem
openssl rsa -in rsa2048.key -traditional -out pkcs1.pem
rm -f issued.csr issued.ext tsa.csr tsa.ext ./*.srl rsa4096.key rsa1024.key rsa1024.crt p521.key p521.crt
# Indefinite lengths and strings in pieces, as NSS (pk12util of libnss3-tools) writes them.
nss=$(mktemp -d)
certutil -N -d "$nss" --empty-password
pk12util -i p256.p12 -d "$nss" -W 'three blue' -K ''
pk12util -o nss.p12 -d "$nss" -W 'three blue' -K '' -n "$(certutil -L -d "$nss" | sed -n 's/ *u,u,u *$//p')"
rm -rf "$nss"
