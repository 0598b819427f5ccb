/* Runs a flash image on libsimavr, one instruction at a time, and writes what the
 * processor's state came to: for lockstep_test.go, which compares it with ours.
 *
 *   lockstep IMAGE STEPS EVERY        a hash of all states, every EVERY steps
 *   lockstep IMAGE STEPS 0 FROM       the states themselves from step FROM on
 *
 * IMAGE is raw bytes from address 0. Built by the test with
 *   cc -O2 -o lockstep lockstep.c -lsimavr
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <simavr/sim_avr.h>

static uint64_t hash = 1469598103934665603u;

static void fold(uint64_t v) { hash = (hash ^ v) * 1099511628211u; }

int main(int argc, char **argv)
{
	if (argc < 4)
		return 2;
	avr_t *avr = avr_make_mcu_by_name("atmega328p");
	if (!avr)
		return 2;
	avr_init(avr);
	avr->log = 0;
	FILE *f = fopen(argv[1], "rb");
	if (!f)
		return 2;
	memset(avr->flash, 0xFF, 32768);
	size_t n = fread(avr->flash, 1, 32768, f);
	fclose(f);
	avr->codeend = n;
	avr->frequency = 16000000;
	/* Registers and RAM begin at zero on our side too. */
	uint64_t steps = strtoull(argv[2], 0, 10), every = strtoull(argv[3], 0, 10);
	uint64_t from = argc > 4 ? strtoull(argv[4], 0, 10) : 0;
	for (uint64_t i = 0; i < steps; i++) {
		int state = avr_run(avr);
		uint8_t sreg = 0;
		for (int b = 0; b < 8; b++)
			sreg |= (avr->sreg[b] & 1) << b;
		uint16_t sp = avr->data[0x5d] | avr->data[0x5e] << 8;
		uint64_t r[4];
		memcpy(r, avr->data, 32);
		if (every) {
			fold(avr->cycle);
			fold(avr->pc / 2 | (uint64_t)sreg << 32 | (uint64_t)sp << 40);
			for (int k = 0; k < 4; k++)
				fold(r[k]);
			if (i % every == every - 1)
				printf("%016" PRIx64 "\n", hash);
		} else if (i >= from) {
			printf("%" PRIu64 " %04x %02x %04x ", (uint64_t)avr->cycle, (unsigned)avr->pc / 2, sreg, sp);
			for (int k = 0; k < 32; k++)
				printf("%02x", avr->data[k]);
			printf("\n");
		}
		if (state == cpu_Done || state == cpu_Crashed)
			break;
	}
	return 0;
}
