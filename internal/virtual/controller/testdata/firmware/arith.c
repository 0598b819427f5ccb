/* Arithmetic for a test that sits outside: it puts operands into a, b and op and a one
 * into GPIOR0; the result comes in r, and GPIOR0 goes back to zero.
 */
#include <avr/io.h>
#include <math.h>
#include <stdint.h>

volatile uint64_t a, b, r;
volatile uint8_t op;

static float f(uint32_t v) { union { uint32_t i; float f; } u = { v }; return u.f; }
static uint32_t i(float v) { union { float f; uint32_t i; } u = { v }; return u.i; }

int main(void)
{
	for (;;) {
		while (!GPIOR0)
			;
		uint64_t x = a, y = b;
		switch (op) {
		case 0: r = (uint8_t)x + (uint8_t)y; break;
		case 1: r = (uint16_t)((uint16_t)x * (uint16_t)y); break;
		case 2: r = (uint32_t)x * (uint32_t)y; break;
		case 3: r = x * y; break;
		case 4: r = (uint8_t)x / (uint8_t)y; break;
		case 5: r = (uint16_t)x / (uint16_t)y; break;
		case 6: r = (uint32_t)x / (uint32_t)y; break;
		case 7: r = x / y; break;
		case 8: r = (int8_t)x % (int8_t)y; break;
		case 9: r = (int16_t)x % (int16_t)y; break;
		case 10: r = (int32_t)x % (int32_t)y; break;
		case 11: r = (int64_t)x % (int64_t)y; break;
		case 12: r = (int16_t)x / (int16_t)y; break;
		case 13: r = (int32_t)x / (int32_t)y; break;
		case 14: r = x + y; break;
		case 15: r = x - y; break;
		case 16: r = (uint32_t)x >> (y & 31); break;
		case 17: r = (int32_t)x >> (y & 31); break;
		case 18: r = (uint32_t)x << (y & 31); break;
		case 19: r = x >> (y & 63); break;
		case 20: r = (int64_t)x < (int64_t)y; break;
		case 21: r = (uint32_t)x < (uint32_t)y; break;
		case 22: r = (int32_t)(int16_t)x * (int16_t)y; break;
		case 23: r = (uint32_t)(uint16_t)x * (uint16_t)y; break;
		case 24: r = i(f(x) + f(y)); break;
		case 25: r = i(f(x) - f(y)); break;
		case 26: r = i(f(x) * f(y)); break;
		case 27: r = i(f(x) / f(y)); break;
		case 28: r = i((float)(int32_t)x); break;
		case 29: r = (int32_t)f(x); break;
		case 30: r = f(x) < f(y); break;
		case 31: r = i(sqrt(f(x))); break;
		}
		GPIOR0 = 0;
	}
}
