/* Waits in all the ways firmware waits: a delay loop, a poll of a flag that an
 * interrupt sets, a poll of a count of milliseconds, a poll of a peripheral's flag, a
 * poll that feeds the watchdog, and sleep. Between waits it works a little and tells
 * on PB0..PB5 where it is. What comes on the serial port is sent back.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <util/delay.h>

static volatile uint32_t ms;
static volatile uint8_t flag, heard, have;
static uint16_t work[40];

ISR(TIMER0_OVF_vect)
{
	static uint16_t frac;
	ms++;
	frac += 24;
	if (frac >= 1000) {
		frac -= 1000;
		ms++;
	}
}

ISR(TIMER1_COMPA_vect)
{
	flag = 1;
}

ISR(USART_RX_vect)
{
	heard = UDR0;
	have = 1;
}

static uint32_t now(void)
{
	uint8_t s = SREG;
	cli();
	uint32_t v = ms;
	SREG = s;
	return v;
}

static void pause_ms(uint16_t n)
{
	uint32_t from = now();
	while (now() - from < n)
		if (have) {
			have = 0;
			while (!(UCSR0A & 1 << UDRE0))
				;
			UDR0 = heard;
		}
}

int main(void)
{
	DDRB = 0x3F;
	UBRR0 = 103;
	UCSR0B = 1 << RXCIE0 | 1 << RXEN0 | 1 << TXEN0;
	TCCR0B = 3; /* /64: an overflow every 1.024 ms */
	TIMSK0 = 1 << TOIE0;
	OCR1A = 15624; /* /1024: a match every second */
	TCCR1B = 1 << WGM12 | 5;
	TIMSK1 = 1 << OCIE1A;
	wdt_enable(WDTO_1S);
	sei();
	for (;;) {
		PORTB = 1;
		_delay_ms(30);
		wdt_reset();
		PORTB = 2;
		pause_ms(200);
		PORTB = 4;
		while (!flag)
			wdt_reset();
		flag = 0;
		PORTB = 8;
		TIFR2 = 1 << TOV2;
		TCCR2B = 7; /* /1024: an overflow every 16.4 ms */
		for (uint8_t i = 0; i < 5; i++) {
			while (!(TIFR2 & 1 << TOV2))
				;
			TIFR2 = 1 << TOV2;
		}
		TCCR2B = 0;
		wdt_reset();
		PORTB = 16;
		set_sleep_mode(SLEEP_MODE_IDLE);
		for (uint8_t i = 0; i < 50; i++)
			sleep_mode();
		wdt_reset();
		PORTB = 32;
		for (uint8_t i = 0; i < 40; i++)
			work[i] = work[i] * 7 + i;
		UDR0 = 'k';
	}
}
