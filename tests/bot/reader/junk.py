"""Lines that have nothing to do with a farm, the same ones for the same seed.

Ordinary English without the trade's words, other languages, source code of the standard library, and what machines
write. Nothing here is ever said on a farm, so a reader that records something of it has misread it. One word of code
or one figure alone is left out: "pass", "continue" and "7:40" can answer a reminder.
"""

import argparse
import base64
import calendar
import csv
import fractions
import inspect
import itertools
import json
import random
import textwrap
from collections.abc import Callable

MODULES = (argparse, base64, calendar, csv, fractions, inspect, json.decoder, random, textwrap)
WORDS = """
able about after afternoon again airport almost always angry answer apple april arrive artist asleep aunt away balcony
banana bank beach beautiful because before believe better between bicycle birthday blanket bored borrow boss bottle
brave breakfast bridge bright brother build busy butter camera careful castle cheap cheese choose church cinema city
clever climb cloud coffee college colour concert cookie corner country cousin crazy curtain customer dance daughter
decide delicious dentist different difficult dinner dollar double dream dress drive early easy eight eleven empty
engine enough evening every exam excited expensive explain famous father february fifteen finally finish flight floor
follow football forest forget forty fourteen friday friend funny furniture garden gentle girl glass grandmother great
guess guitar half hammer handsome happy heavy hello history holiday hospital hotel hour hundred husband idea important
interesting invite island jacket january jealous join juice july jump keyboard kitchen knife ladder language later
laugh lawyer lazy lemon letter library listen little lonely lost love lucky lunch magazine married meeting midnight
minute mirror monday money month morning mother mountain museum music narrow neighbor nephew never newspaper nice niece
nine noisy noon november number ocean october office often onion orange orchestra painting pancake paper parents party
pencil people pepper perfect picture pillow pilot planet pocket poem police polite potato present pretty price probably
problem program promise proud puzzle queen question quick quiet rainy ready remember restaurant return river romantic
sad salad saturday scared school science screen season second secret september serious seven shoes shopping shoulder
silly silver simple singer sister sixteen sleepy slow snow soccer somebody soup spoon spring station stomach story
strange street student subway sudden sugar suitcase summer sunday surprise swim teacher telephone ten terrible theater
thirteen thirsty thousand thursday ticket tired today together tomorrow tonight tooth traffic travel tuesday twelve
twenty ugly umbrella uncle under university useful vacation vegetable village visit wallet wednesday week weekend
welcome wife window winter wonderful world worried yellow yesterday young zero
""".split()
ENGLISH = """
My sister is coming over for dinner on Friday and she is bringing her new boyfriend.
I left my keys at the office again so now I have to drive all the way back.
Did you see the game last night? It went into overtime and they still lost.
The dentist said I need two more appointments before the end of the month.
We are thinking about going to the coast for a week in August.
Can somebody pick up the kids from school at three tomorrow?
Happy birthday! I hope you get everything you wished for this year.
The movie was way too long but the music was great.
I have been stuck in traffic for an hour and my phone is almost dead.
Grandma made her apple pie and there are four pieces left in the kitchen.
Our flight was canceled and the next one leaves at six in the morning.
Thanks for lunch yesterday, the soup was amazing.
She started her new job on Monday and she already hates her boss.
I bought a used bike for eighty dollars and the brakes do not work.
They are closing the library at noon because of the snow.
What time does the concert start, and where should we park?
He broke his arm playing football and now he can't write for five weeks.
The wifi is down again, I have called them three times today.
Let's meet at the station at half past seven and walk from there.
My uncle sold his boat and moved into an apartment downtown.
I can't believe it is already March, the winter went by so fast.
Please send me the photos from the wedding when you get a chance.
The neighbors are having a party tonight so it is going to be loud.
We ran out of milk and eggs, could you stop at the store on your way home?
It rained all day and the basement is flooded.
My laptop takes ten minutes to start, I think it needs a new battery.
The exam is in two weeks and I have not opened the book.
Do you want to grab a coffee around four, or are you busy?
I finished the puzzle, all one thousand pieces of it.
The landlord raised the rent by a hundred dollars.
""".strip().splitlines()
GERMAN = """
Ich komme morgen erst gegen acht Uhr nach Hause.
Hast du heute Abend schon etwas vor?
Der Zug hat wieder zwanzig Minuten Verspätung.
Meine Schwester heiratet im Juni in Hamburg.
Können wir uns am Freitag in der Stadt treffen?
Das Wetter war gestern furchtbar, es hat nur geregnet.
Ich habe zwei Karten für das Konzert am Samstag.
Bring bitte noch Brot und Milch mit.
Der Arzt sagt, ich soll mehr Wasser trinken.
Wir waren im Urlaub an der Ostsee und es war herrlich.
""".strip().splitlines()
FRENCH = """
Je serai en retard ce soir, commencez sans moi.
On se retrouve à la gare vers dix heures ?
Ma voiture est encore en panne, quelle journée.
Il a fait trente degrés à Lyon hier.
Tu peux acheter du pain en rentrant ?
Les enfants dorment enfin, je suis épuisée.
Nous partons en vacances dans deux semaines.
Le film était nul mais la salle était belle.
Merci beaucoup pour le dîner, c'était délicieux.
Mon frère a trouvé un nouvel appartement près du port.
""".strip().splitlines()
POLISH = """
Jutro mam wolne, może pójdziemy do kina?
Zapomniałem kluczy i czekam pod drzwiami.
Spotkajmy się o siódmej przy dworcu.
Moja córka dostała piątkę z matematyki.
Kup proszę chleb, masło i dwa jabłka.
Wczoraj padało cały dzień i było zimno.
Samochód znowu nie chce zapalić.
Dziękuję za wczoraj, było bardzo miło.
W niedzielę jedziemy do babci na obiad.
Nie mogę teraz rozmawiać, zadzwonię później.
""".strip().splitlines()
VIETNAMESE = """
Hôm nay trời nóng quá, chắc khoảng ba mươi lăm độ.
Tối nay mình đi ăn phở nhé?
Em quên chìa khóa ở nhà rồi.
Ngày mai tôi có cuộc họp lúc chín giờ.
Con gái tôi vừa tròn năm tuổi.
Xe buýt đến muộn hai mươi phút.
Cảm ơn anh nhiều, món quà rất đẹp.
Cuối tuần này cả nhà về quê thăm bà.
Điện thoại của tôi sắp hết pin.
Bạn có muốn uống cà phê không?
""".strip().splitlines()
TURKISH = """
Yarın sabah saat dokuzda toplantım var.
Akşam yemeğine geliyor musun?
Anahtarımı evde unuttum, kapıda bekliyorum.
Bugün hava çok sıcak, otuz beş derece.
Kardeşim yeni bir iş buldu, çok mutlu.
Eve gelirken ekmek ve süt alır mısın?
Dün gece hiç uyuyamadım.
Hafta sonu denize gidelim mi?
Otobüs yine yirmi dakika geç kaldı.
Teşekkür ederim, hediye çok güzeldi.
""".strip().splitlines()
INDONESIAN = """
Besok pagi saya ada rapat jam sembilan.
Kamu sudah makan belum?
Hujan deras sekali, jalanan macet semua.
Adik saya baru lulus kuliah kemarin.
Tolong belikan roti dan susu ya.
Nanti malam kita nonton film di rumah saja.
Ponsel saya hampir habis baterainya.
Terima kasih banyak atas bantuannya.
Minggu depan kami pergi ke Yogyakarta.
Kunci motor saya hilang lagi.
""".strip().splitlines()
SPANISH = """
Mañana llego tarde, no me esperen para cenar.
¿Vienes a la fiesta de Carmen el sábado?
Se me olvidaron las llaves en la oficina.
El tren salió con veinte minutos de retraso.
Mi hermana se casa en junio en Sevilla.
Compra pan y leche cuando vuelvas a casa.
Ayer hizo un calor terrible en la playa.
Gracias por todo, la comida estaba riquísima.
Los niños ya están dormidos, por fin.
Tengo examen el martes y no he estudiado nada.
El partido terminó tres a dos, qué nervios.
¿A qué hora abre la biblioteca?
""".strip().splitlines()
OTHERS = (GERMAN, FRENCH, POLISH, VIETNAMESE, TURKISH, INDONESIAN, SPANISH)
EMOJI = "😀 😂 🙏 👍 🎉 ❤️ 🌧️ ☀️ 🐈 🍕 🚗 🏠 👩‍👧 🇩🇪 😴 🤷‍♀️ 💯 🔥".split()
MARKS = [*"!?.,;:-_/\\|()[]{}<>=+*&^%$#@~`'\"", "...", "--", "=>", "://", "?!"]
LEVELS = ("DEBUG", "INFO", "WARNING", "ERROR")


def lines(count: int, seed: int = 20260304) -> list[str]:
    """Give so many lines, each sort in turn."""
    chance = random.Random(seed)  # noqa: S311
    code = [line for line in _code() if len(line.split()) > 1]
    follows = _follows()
    sorts: tuple[Callable[[], str], ...] = (
        lambda: " ".join(chance.choices(WORDS, k=chance.randint(1, 12))),
        lambda: chance.choice(ENGLISH),
        lambda: _shuffled(chance, chance.choice(ENGLISH)),
        lambda: _walk(chance, follows),
        lambda: chance.choice(chance.choice(OTHERS)),
        lambda: _shuffled(chance, chance.choice(chance.choice(OTHERS))),
        lambda: chance.choice(code),
        lambda: _with_emoji(chance),
        lambda: "".join(chance.choices(MARKS, k=chance.randint(1, 15))),
        lambda: _figures(chance),
        lambda: _address(chance),
        lambda: base64.b64encode(chance.randbytes(chance.randint(6, 60))).decode(),
        lambda: _log(chance),
        lambda: _json(chance),
    )
    return [sorts[number % len(sorts)]() for number in range(count)]


def _code() -> list[str]:
    return [line for module in MODULES for line in inspect.getsource(module).splitlines()]


def _shuffled(chance: random.Random, sentence: str) -> str:
    words = sentence.split()
    return " ".join(chance.sample(words, len(words)))


def _follows() -> dict[str, list[str]]:
    out: dict[str, list[str]] = {}
    for sentence in ENGLISH:
        words = sentence.split()
        for word, after in itertools.pairwise(words):
            out.setdefault(word.casefold(), []).append(after)
    return out


def _walk(chance: random.Random, follows: dict[str, list[str]]) -> str:
    """Go from word to word as the ordinary English does."""
    out = [chance.choice(ENGLISH).split()[0]]
    while len(out) < 18 and out[-1].casefold() in follows:
        out.append(chance.choice(follows[out[-1].casefold()]))
    return " ".join(out)


def _with_emoji(chance: random.Random) -> str:
    said = chance.choice([[], chance.choice(ENGLISH).split(), chance.choices(WORDS, k=4)])
    for _ in range(chance.randint(1, 5)):
        said.insert(chance.randint(0, len(said)), chance.choice(EMOJI))
    return " ".join(said)


def _figures(chance: random.Random) -> str:
    sorts = (
        lambda: str(chance.randint(0, 10**9)),
        lambda: f"{chance.uniform(-100, 1000):.2f}",
        lambda: f"{chance.randint(0, 23)}:{chance.randint(0, 59):02d}",
        lambda: f"{chance.randint(1, 12)}/{chance.randint(1, 31)}/{chance.randint(1990, 2030)}",
        lambda: f"+{chance.randint(1, 99)} {chance.randint(100, 999)} {chance.randint(1000, 9999)}",
        lambda: f"{chance.randint(1, 99)}%",
        lambda: f"${chance.randint(1, 9999)}",
    )
    return " ".join(chance.choice(sorts)() for _ in range(chance.randint(2, 5)))


def _address(chance: random.Random) -> str:
    path = "/".join(chance.choices(WORDS, k=chance.randint(0, 4)))
    return f"https://{chance.choice(WORDS)}.example/{path}?{chance.choice(WORDS)}={chance.randint(0, 9999)}"


def _log(chance: random.Random) -> str:
    day = f"2026-{chance.randint(1, 12):02d}-{chance.randint(1, 28):02d}"
    hour = f"{chance.randint(0, 23):02d}:{chance.randint(0, 59):02d}:07,113"
    module, words = ".".join(chance.choices(WORDS, k=2)), " ".join(chance.choices(WORDS, k=5))
    return f"{day} {hour} {chance.choice(LEVELS)} [{module}] {words} took {chance.randint(1, 900)} ms"


def _json(chance: random.Random) -> str:
    values: tuple[object, ...] = (
        chance.randint(0, 999),
        chance.choice(WORDS),
        None,
        True,
        [1, 2],
        {"id": chance.choice(WORDS)},
    )
    return json.dumps({word: chance.choice(values) for word in chance.choices(WORDS, k=chance.randint(1, 5))})
