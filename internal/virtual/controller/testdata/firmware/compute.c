/* What a tracker's controller computes when it is not waiting: checksums of
 * sentences, numbers to and from text, degrees, a little floating point, sorting.
 * It goes round for ever; a round ends with a pulse on PB5.
 */
#include <avr/io.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static char sentence[] = "$GPGGA,092204.999,4250.5589,N,01442.7912,E,1,08,1.1,61.7,M,42.3,M,,*00";
static volatile uint16_t sink;
static uint8_t buffer[256];

static uint8_t checksum(const char *s)
{
	uint8_t x = 0;
	for (s++; *s && *s != '*'; s++)
		x ^= *s;
	return x;
}

static uint16_t crc16(const uint8_t *p, uint8_t n)
{
	uint16_t crc = 0xFFFF;
	while (n--) {
		crc ^= *p++;
		for (uint8_t i = 0; i < 8; i++)
			crc = crc & 1 ? crc >> 1 ^ 0xA001 : crc >> 1;
	}
	return crc;
}

static const char *field(const char *s, uint8_t n)
{
	while (n && *s)
		if (*s++ == ',')
			n--;
	return s;
}

/* Degrees and minutes to millionths of a degree. */
static int32_t degrees(const char *s)
{
	int32_t whole = 0, frac = 0;
	uint8_t places = 0;
	for (; *s && *s != '.' && *s != ','; s++)
		whole = whole * 10 + (*s - '0');
	if (*s == '.')
		for (s++; *s >= '0' && *s <= '9' && places < 4; s++, places++)
			frac = frac * 10 + (*s - '0');
	return whole / 100 * 1000000L + ((whole % 100) * 10000 + frac) * 100 / 60;
}

static int byvalue(const void *a, const void *b)
{
	return *(const uint8_t *)a - *(const uint8_t *)b;
}

static float flat(int32_t lat, int32_t lon)
{
	float y = (float)lat * 0.11132f, x = (float)lon * 0.0728f;
	return x * x + y * y;
}

int main(void)
{
	uint16_t seed = 1;
	DDRB = 1 << 5;
	for (;;) {
		char text[12];
		uint16_t sum = checksum(sentence);
		int32_t lat = degrees(field(sentence, 2)), lon = degrees(field(sentence, 4));
		ltoa(lat, text, 10);
		sum += crc16((const uint8_t *)text, strlen(text));
		ltoa(lon, text, 10);
		sum += crc16((const uint8_t *)sentence, sizeof sentence - 1);
		for (uint8_t i = 0; i < 48; i++) {
			seed = seed * 25173u + 13849u;
			buffer[i] = seed >> 8;
		}
		qsort(buffer, 48, 1, byvalue);
		memmove(buffer + 64, buffer, 128);
		sum += (uint16_t)flat(lat, lon);
		sink = sum;
		PINB = 1 << 5;
		PINB = 1 << 5;
	}
}
