/* The same tracker, written by somebody who has read the manual and a few logs.
 *
 * The module hangs on the USART at 9600 baud; the log goes out on PD3, bit by bit.
 * Every command has an end: OK, an error, or its own time. What the module says unasked
 * is passed over. A position is sent only when it is one. What fails is tried again
 * later; what keeps failing leads back to the beginning. While it waits it sleeps.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <util/atomic.h>
#include <util/delay.h>

#define LOG 3
#define LAMP 5
#define BIT_US 104.1667

#define RECIPIENT "+12025550143"
#define REPORT_EVERY_MS 20000UL
#define WORST_HDOP_TENTHS 50

/* --- time ------------------------------------------------------------------ */

static volatile uint32_t ticks; /* milliseconds */

ISR(TIMER0_COMPA_vect)
{
	ticks++;
}

static uint32_t now(void)
{
	uint32_t t;
	ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
		t = ticks;
	return t;
}

/* Sleeps until the next interrupt: a millisecond at most. */
static void rest(void)
{
	wdt_reset();
	sleep_mode();
}

static void pause_ms(uint32_t ms)
{
	uint32_t from = now();
	while (now() - from < ms)
		rest();
}

/* --- the log ---------------------------------------------------------------- */

static void log_char(uint8_t c)
{
	/* Interrupts stay on: the line to the module matters more than the log. A byte
	 * of the log may be spoilt by one. */
	PORTD &= ~(1 << LOG);
	_delay_us(BIT_US - 0.6);
	for (uint8_t i = 8; i; i--, c >>= 1) {
		if (c & 1)
			PORTD |= 1 << LOG;
		else
			PORTD &= ~(1 << LOG);
		_delay_us(BIT_US - 0.75);
	}
	PORTD |= 1 << LOG;
	_delay_us(BIT_US);
}

static void log_line(const char *s)
{
	while (*s)
		log_char(*s++);
	log_char('\r');
	log_char('\n');
}

/* --- the line to the module -------------------------------------------------- */

static volatile uint8_t ring[128], in;
static uint8_t out;

ISR(USART_RX_vect)
{
	uint8_t status = UCSR0A, c = UDR0;
	uint8_t next = (in + 1) & (sizeof ring - 1);
	if (!(status & (1 << FE0)) && next != *(volatile uint8_t *)&out) {
		ring[in] = c;
		in = next;
	}
}

static int hear(void)
{
	if (out == in)
		return -1;
	uint8_t c = ring[out];
	out = (out + 1) & (sizeof ring - 1);
	return c;
}

static void put(uint8_t c)
{
	while (!(UCSR0A & 1 << UDRE0))
		;
	UDR0 = c;
}

static void say(const char *s)
{
	while (*s)
		put(*s++);
}

enum end { OK, REFUSED, PROMPT, SILENT };

static char line[100]; /* being heard */
static uint8_t at;

/* Listens until a final result, the prompt, or the end of the time. A line that
 * begins with prefix is kept in answer. */
static enum end await(const char *prefix, char *answer, uint8_t size, uint32_t ms)
{
	uint32_t from = now();
	at = 0;
	while (now() - from < ms) {
		int c = hear();
		if (c < 0) {
			rest();
			continue;
		}
		if (at == 1 && line[0] == '>' && c == ' ')
			return PROMPT;
		if (c != '\r' && c != '\n') {
			if (at < sizeof line - 1)
				line[at++] = c;
			continue;
		}
		line[at] = 0;
		if (at == 0)
			continue;
		at = 0;
		if (prefix && answer && !strncmp(line, prefix, strlen(prefix))) {
			strncpy(answer, line + strlen(prefix), size - 1);
			answer[size - 1] = 0;
		}
		if (!strcmp(line, "OK"))
			return OK;
		if (!strcmp(line, "ERROR") || !strncmp(line, "+CME ERROR", 10) || !strncmp(line, "+CMS ERROR", 10)) {
			log_line(line);
			return REFUSED;
		}
	}
	return SILENT;
}

static enum end ask(const char *command, const char *prefix, char *answer, uint8_t size, uint32_t ms)
{
	if (answer)
		answer[0] = 0;
	while (hear() >= 0)
		; /* what came unasked is old */
	say(command);
	put('\r');
	return await(prefix, answer, size, ms);
}

static uint8_t ok(const char *command, uint32_t ms)
{
	return ask(command, 0, 0, 0, ms) == OK;
}

/* --- the job ------------------------------------------------------------------ */

/* Finds field n of a comma-separated line; it ends at the next comma. */
static const char *field(const char *s, uint8_t n)
{
	for (; n && *s; s++)
		if (*s == ',')
			n--;
	return s;
}

static uint8_t copy_field(const char *s, uint8_t n, char *to, uint8_t size)
{
	uint8_t length = 0;
	for (s = field(s, n); *s && *s != ',' && length < size - 1; s++)
		to[length++] = *s;
	to[length] = 0;
	return length;
}

/* Waits until the module answers, then sets it up. Returns 0 when it has to be tried
 * again from the beginning. */
static uint8_t bring_up(void)
{
	char answer[40];
	uint8_t tries;
	for (tries = 0; !ok("AT", 500); tries++)
		if (tries == 60) {
			log_line("module does not answer");
			return 0;
		}
	if (!ok("ATE0", 1000) || !ok("AT+CMEE=1", 1000))
		return 0;
	if (ask("AT+CPIN?", "+CPIN: ", answer, sizeof answer, 5000) != OK || strcmp(answer, "READY")) {
		log_line("card not ready");
		return 0; /* and no PIN is tried: a wrong one may lock the card */
	}
	if (!ok("AT+CMGF=1", 1000) || !ok("AT+CSCS=\"GSM\"", 1000) || !ok("AT+CSMP=17,167,0,0", 1000) || !ok("AT+DEMOGNSS=1", 3000))
		return 0;
	for (tries = 0; tries < 60; tries++) {
		if (ask("AT+CREG?", "+CREG: ", answer, sizeof answer, 1000) == OK && (answer[2] == '1' || answer[2] == '5'))
			return 1;
		pause_ms(2000);
	}
	log_line("no network");
	return 0;
}

/* Sends a text; the prompt is awaited before a letter of it is said. */
static uint8_t send(const char *text)
{
	switch (ask("AT+CMGS=\"" RECIPIENT "\"", 0, 0, 0, 5000)) {
	case PROMPT:
		break;
	default:
		return 0;
	}
	say(text);
	put(26);
	if (await(0, 0, 0, 60000) == OK)
		return 1;
	put(27); /* in case it still waits for the end of the text */
	return 0;
}

/* Asks for the position and sends it if it is one. Returns 0 when the module failed,
 * not when there is no fix. */
static uint8_t report(void)
{
	char answer[90], text[80];
	uint8_t n;
	if (ask("AT+DEMOPOS?", "+DEMOPOS: ", answer, sizeof answer, 2000) != OK)
		return 0;
	char hdop[8];
	copy_field(answer, 8, hdop, sizeof hdop);
	if (answer[0] != '1' || !hdop[0] || atof(hdop) * 10 > WORST_HDOP_TENTHS) {
		log_line("no fix");
		return 1;
	}
	strcpy(text, "trailer 07 ");
	n = strlen(text);
	n += copy_field(answer, 3, text + n, 14);
	text[n++] = ',';
	n += copy_field(answer, 4, text + n, 14);
	strcpy(text + n, " at ");
	n += 4;
	n += copy_field(answer, 2, text + n, 12);
	strcpy(text + n, " UTC");
	if (!send(text))
		return 0;
	log_line("sent");
	return 1;
}

int main(void)
{
	uint8_t failures;
	uint32_t next;
	wdt_enable(WDTO_8S);
	DDRB = 1 << LAMP;
	PORTD = 1 << 0 | 1 << LOG;
	DDRD = 1 << LOG | 1 << 1;
	TCCR0A = 1 << WGM01;
	OCR0A = 249; /* 16 MHz / 64 / 250: a millisecond */
	TCCR0B = 1 << CS01 | 1 << CS00;
	TIMSK0 = 1 << OCIE0A;
	UBRR0 = 103;
	UCSR0B = 1 << RXCIE0 | 1 << RXEN0 | 1 << TXEN0;
	sei();
	log_line("tracker");
	for (;;) {
		PORTB &= ~(1 << LAMP);
		if (!bring_up()) {
			pause_ms(10000);
			continue;
		}
		PORTB |= 1 << LAMP;
		failures = 0;
		next = now();
		while (failures < 3) {
			if (report()) {
				failures = 0;
			} else {
				failures++;
				log_line("failed");
			}
			next += REPORT_EVERY_MS;
			while ((int32_t)(next - now()) > 0)
				rest();
			if ((int32_t)(now() - next) > (int32_t)REPORT_EVERY_MS)
				next = now(); /* a failure took long: do not catch up */
		}
	}
}
