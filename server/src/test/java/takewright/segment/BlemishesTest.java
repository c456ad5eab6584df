package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.pitch.Kind;
import takewright.testing.TakeBuilder;

/**
 * What went wrong in a note is heard, and what is the note's own is not taken for it. The notes are
 * computed: partials, the breath between them, and what is laid over them.
 */
class BlemishesTest {
  private static final int RATE = 48_000;
  private static final double ROOM = -60;

  /** Partials with a breath between them that lies 40 dB lower; RMS about -16 dBFS. */
  private static float[] blown(double hertz, double seconds) {
    SplittableRandom random = new SplittableRandom(7);
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double edge = Math.min(1, Math.min(t / 0.03, (seconds - t) / 0.1));
      double sum = 0.004 * (random.nextDouble() - 0.5);
      for (int k = 1; k <= 10; k++) {
        sum += 0.2 / k * Math.sin(2 * Math.PI * k * hertz * t + k);
      }
      x[i] = (float) (edge * sum);
    }
    return x;
  }

  /** Adds a burst of noise in a resonance, as of a chair or a stand that is knocked. */
  private static float[] knocked(float[] note, double atS, double hertz, double loud) {
    SplittableRandom random = new SplittableRandom(8);
    float[] x = note.clone();
    double before = 0;
    double last = 0;
    double radius = Math.exp(-Math.PI * 400 / RATE);
    double turn = 2 * radius * Math.cos(2 * Math.PI * hertz / RATE);
    int from = (int) (atS * RATE);
    for (int i = 0; i < 0.15 * RATE; i++) {
      double now =
          turn * last - radius * radius * before + 0.05 * loud * (random.nextDouble() - 0.5);
      before = last;
      last = now;
      x[from + i] += (float) (now * Math.min(1, (0.15 * RATE - i) / (0.05 * RATE)));
    }
    return x;
  }

  /** A change of bow: the partials sink for a moment, and a noise comes up between them. */
  private static float[] bowChanged(float[] note, double atS) {
    SplittableRandom random = new SplittableRandom(9);
    float[] x = note.clone();
    for (int i = 0; i < x.length; i++) {
      double off = ((double) i / RATE - atS) / 0.05;
      double dip = Math.exp(-off * off);
      x[i] = (float) ((1 - 0.8 * dip) * x[i] + 0.02 * dip * (random.nextDouble() - 0.5));
    }
    return x;
  }

  private static Blemishes heard(float[] note) throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(3);
    take.sound("note", 0, note, -9, ROOM).pause(2);
    take.sound("note", 0, blown(330, 2), -9, ROOM).pause(2);
    List<Region> regions =
        Segment.apply(take.build(ROOM).source(), SegmentSettings.forKind(Kind.PITCHED)).regions();
    assertEquals(2, regions.size(), regions.toString());
    return regions.get(0).blemishes();
  }

  @Test
  void aSoftKnockIsHeardBetweenThePartials() throws IOException {
    for (double hertz : new double[] {110, 247, 440}) {
      float[] clean = blown(hertz, 4);
      assertTrue(heard(clean).beside().dbS() < 0.05, hertz + " clean " + heard(clean));
      float[] knocked = knocked(clean, 1.7, 700, 0.015);
      assertTrue(heard(knocked).beside().dbS() > 0.3, hertz + " knocked " + heard(knocked));
    }
  }

  /** A string of 55 Hz has gone through 16 periods after 0.29 s, one of 247 Hz after 0.06 s. */
  @Test
  void whatComesAndGoesWhileALowNoteSpeaksIsItsOwn() throws IOException {
    assertEquals(0, heard(knocked(blown(55, 0.8), 0.1, 700, 0.05)).beside().dbS());
    assertTrue(heard(knocked(blown(55, 0.8), 0.4, 700, 0.05)).beside().dbS() > 1);
    assertTrue(heard(knocked(blown(247, 0.8), 0.1, 700, 0.05)).beside().dbS() > 1);
  }

  /** Adds a click in a wooden resonance, of 2 ms. */
  private static float[] clicked(float[] note, double atS, double loud) {
    float[] x = note.clone();
    double phase = 0;
    for (int i = 0; i < 0.01 * RATE; i++) {
      phase += 2 * Math.PI * 1100 / RATE;
      double fall = Math.exp(-i / (0.002 * RATE));
      x[(int) (atS * RATE) + i] += (float) (loud * fall * Math.sin(phase));
    }
    return x;
  }

  /** A creak is a row of clicks, each of which shows in one column. */
  @Test
  void aCreakIsHeardClickByClick() throws IOException {
    float[] note = blown(247, 4);
    for (int click = 0; click < 5; click++) {
      note = clicked(note, 1.5 + 0.075 * click, 0.05);
    }
    assertTrue(heard(note).beside().dbS() > 0.5, heard(note).toString());
  }

  /** Noise that comes and goes over a tenth of a second, as a bow's does, is no blow. */
  @Test
  void aBlowIsToldFromWhatABowDoesByItsSharpness() throws IOException {
    for (double hertz : new double[] {196, 330, 784}) {
      SplittableRandom random = new SplittableRandom(10);
      float[] rough = blown(hertz, 4);
      for (int i = 0; i < rough.length; i++) {
        double off = ((double) i / RATE - 2) / 0.05;
        rough[i] += (float) (0.05 * Math.exp(-off * off) * (random.nextDouble() - 0.5));
      }
      Blemishes noisy = heard(rough);
      assertTrue(noisy.beside().mostDb() > 8, hertz + " noisy " + noisy);
      assertTrue(noisy.beside().knockDb() < 6, hertz + " noisy " + noisy);
      Blemishes blow = heard(clicked(rough, 3, 0.05));
      assertTrue(blow.beside().knockDb() > 8, hertz + " blow " + blow);
      assertEquals(0, heard(blown(hertz, 4)).beside().knockDb(), hertz + " clean");
    }
  }

  /** A note that is stopped short in a room that rings: the stop has a noise of its own. */
  @Test
  void whatSoundsWhereANoteIsLetGoIsItsOwn() throws IOException {
    float[] note = blown(330, 4);
    for (int i = 2 * RATE; i < note.length; i++) {
      double t = (double) i / RATE - 2;
      note[i] *= (float) (0.15 * Math.exp(-5 * t));
    }
    Blemishes letGo = heard(clicked(note, 2, 0.05));
    assertTrue(letGo.beside().mostDb() < 6 && letGo.beside().knockDb() < 6, letGo.toString());
    Blemishes before = heard(clicked(note, 1.5, 0.05));
    assertTrue(before.beside().mostDb() > 8 && before.beside().knockDb() > 10, before.toString());
  }

  /** A bow that is taken off within 60 ms, and one that lets the string die away. */
  @Test
  void aStopIsToldFromDyingAway() throws IOException {
    float[] stopped = Arrays.copyOf(blown(330, 4), 2 * RATE);
    float[] dying = stopped.clone();
    for (int i = 0; i < stopped.length; i++) {
      double left = (double) (stopped.length - i) / RATE;
      double off = Math.min(1, left / 0.06);
      stopped[i] *= (float) (off * off);
      dying[i] *= (float) Math.min(1, left / 1.5 * Math.exp(3 * (left - 1.5)));
    }
    assertTrue(heard(stopped).ending().stopDb() > 25, heard(stopped).toString());
    assertTrue(heard(dying).ending().stopDb() < 10, heard(dying).toString());
  }

  /** Too short for anything to lie before and behind what is laid over it. */
  @Test
  void aShortNoteIsLaidBesideACleanOne() throws IOException {
    for (double hertz : new double[] {65, 247, 880}) {
      float[] note = Arrays.copyOf(blown(hertz, 0.36), (int) (0.36 * RATE));
      Blemishes clean = heard(note);
      Blemishes knocked = heard(knocked(note, 0.14, 1200, 0.05));
      assertTrue(knocked.moreDb(clean) > 10, hertz + " knocked " + knocked.moreDb(clean));
      assertTrue(clean.moreDb(knocked) < 3, hertz + " clean " + clean.moreDb(knocked));
      float[] soft = note.clone();
      for (int i = 0; i < soft.length; i++) {
        soft[i] *= 0.5f;
      }
      assertTrue(clean.moreDb(heard(soft)) < 3, hertz + " louder " + clean.moreDb(heard(soft)));
      assertTrue(heard(soft).moreDb(clean) < 3, hertz + " softer " + heard(soft).moreDb(clean));
    }
  }

  @Test
  void aChangeOfBowIsTheNotesOwn() throws IOException {
    Blemishes changed = heard(bowChanged(blown(330, 4), 2));
    assertTrue(changed.beside().dbS() < 0.05, changed.toString());
    assertTrue(heard(knocked(blown(330, 4), 2, 700, 0.015)).beside().dbS() > 0.3);
  }

  /** The attack of a low string is misheard for a moment, and the wrong note follows it. */
  @Test
  void aLowNoteBegunOnTheWrongOneIsHeardBehindItsAttack() throws IOException {
    float[] right = blown(103.8, 4);
    float[] wrong = blown(98, 4);
    float[] attack = blown(150, 4);
    float[] note = new float[right.length];
    for (int i = 0; i < note.length; i++) {
      double t = (double) i / RATE;
      note[i] = t < 0.08 ? attack[i] : t < 0.7 ? wrong[i] : right[i];
    }
    assertEquals(0.55, heard(note).beginning().wrongS(), 0.15);
    assertEquals(0, heard(right).beginning().wrongS());
  }

  /** A page is turned as the note dies away. */
  @Test
  void whatSetsInBehindANoteIsHeard() throws IOException {
    float[] clean = blown(247, 3);
    float[] turned = Arrays.copyOf(clean, (int) (4.2 * RATE));
    SplittableRandom random = new SplittableRandom(5);
    int from = (int) (2.97 * RATE);
    for (int i = from; i < turned.length; i++) {
      double part = (double) (i - from) / (turned.length - from);
      turned[i] += (float) (0.06 * Math.sin(Math.PI * part) * (random.nextDouble() - 0.5));
    }
    assertTrue(heard(turned).ending().risesDbS() > 2, heard(turned).toString());
    assertTrue(heard(clean).ending().risesDbS() < 0.5, heard(clean).toString());
  }

  /** A page soon behind a note that has died away is heard, but its sample ends before. */
  @Test
  void whatIsHeardBehindTheSampleIsNoneOfIt() throws IOException {
    SplittableRandom random = new SplittableRandom(5);
    float[] note = Arrays.copyOf(blown(247, 3), (int) (3.9 * RATE));
    for (int i = 0; i < note.length; i++) {
      note[i] *= (float) Math.exp(-2.0 * i / RATE);
    }
    int from = (int) (3.1 * RATE);
    double length = 0.3 * RATE;
    for (int i = 0; i < length; i++) {
      note[from + i] +=
          (float) (0.015 * Math.sin(Math.PI * i / length) * (random.nextDouble() - 0.5));
    }
    assertTrue(heard(note).ending().risesDbS() < 0.5, heard(note).toString());
  }

  /** A word glides; the note stands. */
  @Test
  void whatLeadsIntoANoteIsHeard() throws IOException {
    float[] clean = blown(247, 3);
    float[] led = new float[(int) (3.6 * RATE)];
    double phase = 0;
    for (int i = 0; i < 0.58 * RATE; i++) {
      double part = i / (0.58 * RATE);
      phase += 2 * Math.PI * (130 + 60 * part) / RATE;
      for (int k = 1; k <= 12; k++) {
        led[i] += (float) (0.05 / k * Math.sin(Math.PI * part) * Math.sin(k * phase));
      }
    }
    System.arraycopy(clean, 0, led, (int) (0.6 * RATE), clean.length);
    assertTrue(heard(led).beginning().lateS() > 0.45, heard(led).toString());
    assertTrue(heard(clean).beginning().lateS() < 0.15, heard(clean).toString());
  }
}
