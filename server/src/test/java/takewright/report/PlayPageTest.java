package takewright.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.openqa.selenium.Keys;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.testing.Ear;

/**
 * What the page of a library sounds like: rendered by Chromium's Web Audio with the page's own
 * code, and measured outside.
 */
class PlayPageTest {
  private static final int RATE = PlayedSession.RATE;

  @TempDir static Path folder;

  private static Path library;
  private static Browser browser;

  @BeforeAll
  static void buildAndOpen() throws IOException {
    browser = new Browser(folder);
    library = folder.resolve("library");
    Path sheet = PlayedSession.write(folder.resolve("session"), "");
    ReportedBuild.run(sheet, library, progress -> {}, () -> false, false);
    open("");
  }

  private static void open(String view) {
    browser.open(library.resolve("play.html"), view);
    browser.find("#folder").sendKeys(library.toString());
    browser.until("the folder is taken", () -> !browser.find("#source").isDisplayed());
  }

  @AfterAll
  static void close() {
    if (browser != null) {
      browser.close();
    }
  }

  /**
   * Renders what a script does with {@code engine}; sums both channels.
   *
   * @param layers as a JavaScript list of names and decibels
   */
  private static float[] render(String articulation, String layers, double seconds, String script) {
    if (!Boolean.TRUE.equals(browser.run("return typeof Play === 'object' && Folder.isOpen();"))) {
      open("");
    }
    String base64 =
        (String)
            browser.run(
                """
                return (async () => {
                  const context = new OfflineAudioContext(2, %f * 48000, 48000);
                  const faders = new Map([['close', -Infinity], ...%s]);
                  const engine = new Engine(context, Play.library, Play.cache, { faders });
                  engine.articulation = Play.library.articulations.find((a) => a.name === '%s');
                  engine.setLevel(0);
                  const note = async (key, velocity, when, lengthS, rr = null) => {
                    const struck = engine.strike(key, velocity, { when, rr, exact: true });
                    await struck.ready;
                    engine.release(struck, when + lengthS);
                    return struck;
                  };
                  %s
                  const audio = await context.startRendering();
                  const bytes = new Uint8Array(4 * audio.length);
                  const mix = new Float32Array(bytes.buffer);
                  for (let c = 0; c < 2; c++) audio.getChannelData(c).forEach((x, i) => { mix[i] += x / 2; });
                  let text = '';
                  for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
                  return btoa(text);
                })()
                """
                    .formatted(seconds, layers, articulation, script));
    return floats(base64);
  }

  private static float[] floats(String base64) {
    ByteBuffer bytes = ByteBuffer.wrap(Base64.getDecoder().decode(base64));
    float[] x = new float[bytes.capacity() / 4];
    bytes.order(ByteOrder.LITTLE_ENDIAN).asFloatBuffer().get(x);
    return x;
  }

  private static float[] held(double seconds, String script) {
    return render("held", "[['close', 0]]", seconds, script);
  }

  private static Path written(String name, float[] x, double fromS, double toS) throws IOException {
    Path file = folder.resolve(name + ".wav");
    Clip clip = Clip.of(RATE, x).slice((int) (fromS * RATE), (int) (toS * RATE));
    WavWriter.write(file, clip, 32, WavChunks.NONE);
    return file;
  }

  /** Amplitude at a frequency in a stretch, in dB: a Fourier sum with a Hann window. */
  private static double db(float[] x, double hz, double fromS, double lengthS) {
    int from = (int) (fromS * RATE);
    int n = (int) (lengthS * RATE);
    double re = 0;
    double im = 0;
    for (int i = 0; i < n; i++) {
      double w = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / n);
      re += w * x[from + i] * Math.cos(2 * Math.PI * hz * i / RATE);
      im += w * x[from + i] * Math.sin(2 * Math.PI * hz * i / RATE);
    }
    return 10 * Math.log10((re * re + im * im) * 16 / ((double) n * n) + 1e-20);
  }

  private static double rmsDb(float[] x, double fromS, double lengthS) {
    double sum = 0;
    int n = (int) (lengthS * RATE);
    for (int i = 0; i < n; i++) {
      float value = x[(int) (fromS * RATE) + i];
      sum += value * value;
    }
    return 10 * Math.log10(sum / n + 1e-20);
  }

  /** The third partial against the first, in dB: what tells the far microphone. */
  private static double third(float[] x, double hz, double fromS) {
    return db(x, 3 * hz, fromS, 0.3) - db(x, hz, fromS, 0.3);
  }

  @Test
  void cMajorIsInTuneInEveryArticulationAndLayer() throws IOException {
    int[] keys = {60, 62, 64, 65, 67, 69, 71, 72};
    List<Path> files = new ArrayList<>();
    List<Double> hz = new ArrayList<>();
    StringBuilder script = new StringBuilder();
    for (int i = 0; i < keys.length; i++) {
      script.append("await note(%d, 100, %f, 0.8);".formatted(keys[i], 0.1 + 1.5 * i));
    }
    for (String articulation : List.of("held", "plucked")) {
      for (String layer : List.of("close", "far", "hall")) {
        float[] x = render(articulation, "[['" + layer + "', 0]]", 12.5, script.toString());
        for (int i = 0; i < keys.length; i++) {
          double at = 0.1 + 1.5 * i;
          files.add(written(articulation + layer + keys[i], x, at + 0.05, at + 0.75));
          hz.add(PlayedSession.hz(keys[i]));
          assertTrue(rmsDb(x, at + 0.05, 0.3) > -50, articulation + layer + keys[i]);
        }
      }
    }
    double[] wanted = hz.stream().mapToDouble(Double::doubleValue).toArray();
    double[] cents = new Ear(folder).cents(files, wanted);
    for (int i = 0; i < cents.length; i++) {
      assertEquals(0, cents[i], 3, files.get(i).toString());
    }
  }

  @Test
  void velocityChoosesTheDynamicAndSetsTheLevelWhereThereIsOne() {
    double hz = PlayedSession.hz(60);
    float[] x = held(4, "await note(60, 64, 0.1, 1); await note(60, 65, 2.1, 1);");
    assertTrue(db(x, 7 * hz, 0.5, 0.4) - db(x, hz, 0.5, 0.4) < -50, "soft: four partials");
    double seventh = db(x, 7 * hz, 2.5, 0.4) - db(x, hz, 2.5, 0.4);
    assertEquals(-20 * Math.log10(7), seventh, 1, "loud: twelve");
    float[] one =
        render(
            "plucked",
            "[['close', 0]]",
            4,
            "await note(60, 127, 0.1, 1); await note(60, 64, 2.1, 1);");
    // 40 log10(64 / 127), the curve of DLS 2.2.
    assertEquals(-11.9, rmsDb(one, 2.1, 0.5) - rmsDb(one, 0.1, 0.5), 0.1);
  }

  @Test
  void roundRobinsTakeTurnsInAllLayersAtOnce() {
    String script =
        "for (const [i, key] of [60, 61, 60, 59].entries()) await note(key, 100, 0.1 + 1.5 * i, 0.9);";
    for (String layer : List.of("close", "far")) {
      float[] x = render("held", "[['" + layer + "', 0]]", 6.5, script);
      int[] keys = {60, 61, 60, 59};
      for (int i = 0; i < 4; i++) {
        double hz = PlayedSession.hz(keys[i]);
        double second = db(x, 2 * hz, 0.4 + 1.5 * i, 0.4) - db(x, hz, 0.4 + 1.5 * i, 0.4);
        assertEquals(i % 2 == 1, second > -20, layer + " " + i + ": " + second + " dB");
      }
    }
    float[] chosen = held(3, "await note(60, 100, 0.1, 0.9, 2); await note(60, 100, 1.6, 0.9, 2);");
    double hz = PlayedSession.hz(60);
    assertTrue(db(chosen, 2 * hz, 0.4, 0.4) - db(chosen, hz, 0.4, 0.4) > -20);
    assertTrue(db(chosen, 2 * hz, 1.9, 0.4) - db(chosen, hz, 1.9, 0.4) > -20);
  }

  @Test
  void fadersSetLayersAndOneThatIsOffIsNotEvenRead() {
    double hz = PlayedSession.hz(60);
    String script = "await note(60, 100, 0.1, 0.9, 1);";
    double close = third(held(1.5, script), hz, 0.4);
    double far = third(render("held", "[['far', 0]]", 1.5, script), hz, 0.4);
    assertTrue(close > -15 && far < -45, close + " and " + far + " dB");
    float[] both = render("held", "[['close', -6], ['far', 0]]", 1.5, script);
    assertTrue(third(both, hz, 0.4) < close - 5 && third(both, hz, 0.4) > far + 5);
    assertEquals(
        -6,
        rmsDb(render("held", "[['far', -6]]", 1.5, script), 0.4, 0.4)
            - rmsDb(render("held", "[['far', 0]]", 1.5, script), 0.4, 0.4),
        0.05);
    assertEquals(
        List.of("close"),
        browser.run(
            """
            const faders = new Map();
            const engine = new Engine(new OfflineAudioContext(2, 48000, 48000), Play.library, Play.cache, { faders });
            return engine.choose(60, 100).map((zone) => zone.layer);
            """));
  }

  @Test
  void theWheelClosesTheFilterAndLeavesTheSoundAloneAtRest() {
    double hz = PlayedSession.hz(60);
    String script = "await note(60, 100, 0.1, 1.2, 2);";
    float[] rest = held(1.5, "engine.setWheel(0, 0);" + script);
    float[] half = held(1.5, "engine.setWheel(64, 0);" + script);
    float[] full = held(1.5, "engine.setWheel(127, 0);" + script);
    float[] without =
        held(1.5, "engine.mix.disconnect(); engine.mix.connect(engine.level);" + script);
    for (int i = 0; i < rest.length; i++) {
      assertEquals(without[i], rest[i], 1e-6, "frame " + i);
    }
    // Half-way the cutoff is above all partials, at 3.4 kHz.
    assertEquals(1, centroid(half, hz) / centroid(rest, hz), 0.2);
    assertTrue(
        centroid(full, hz) < 0.75 * centroid(rest, hz),
        "full " + centroid(full, hz) + " of " + centroid(rest, hz));
    // The filter of the Web Audio standard falls by 12 dB an octave; the cutoff is at 600 Hz.
    double eighth = db(full, 8 * hz, 0.5, 0.5) - db(rest, 8 * hz, 0.5, 0.5);
    assertEquals(-40 * Math.log10(8 * hz / 600), eighth, 1.5);
    float[] moving =
        held(3, "engine.setWheel(0, 0); await note(60, 100, 0.1, 2.6); engine.setWheel(127, 1);");
    assertTrue(centroid(moving, hz, 1.4) < 0.75 * centroid(moving, hz));
  }

  private static double centroid(float[] x, double hz) {
    return centroid(x, hz, 0.5);
  }

  private static double centroid(float[] x, double hz, double fromS) {
    double sum = 0;
    double weighted = 0;
    for (int k = 1; k <= 12; k++) {
      double power = Math.pow(10, db(x, k * hz, fromS, 0.4) / 10);
      sum += power;
      weighted += k * hz * power;
    }
    return weighted / sum;
  }

  @Test
  void aReleaseLastsAsLongAsTheMapSaysAndDoesNotClick() {
    String release = "note(60, 100, 0.1, 1.2)";
    double ms =
        ((Number)
                browser.run(
                    "return Play.library.articulations[0].layers[0].zones.find((z) => z.root === 60 && z.highVelocity === 127).releaseMs;"))
            .doubleValue();
    float[] x = held(3, "await " + release + ";");
    // Between two moments of the fall: 60 dB in that time.
    double step = Math.min(0.1, ms / 1000 / 4);
    double fall = rmsDb(x, 1.32, 0.02) - rmsDb(x, 1.32 + step, 0.02);
    assertEquals(60 * step / (ms / 1000), fall, 2, "release of " + ms + " ms");
    assertTrue(click(x, 1.3) < 2, "at note-off " + click(x, 1.3));
    float[] cut =
        held(
            3,
            "const cut = await " + release + "; for (const v of cut.voices) v.source.stop(1.3);");
    assertTrue(click(cut, 1.3) > 5, "an end without a release would be heard as a click");
  }

  /** The strongest of what is above 9 kHz at a moment, against what it was before. */
  private static double click(float[] x, double atS) {
    return high(x, atS - 0.01, atS + 0.05) / high(x, atS - 0.4, atS - 0.1);
  }

  private static double high(float[] x, double fromS, double toS) {
    double max = 0;
    for (int i = (int) (fromS * RATE); i < toS * RATE; i++) {
      // Fourth differences: 24 dB an octave.
      double d = x[i - 2] - 4 * x[i - 1] + 6 * x[i] - 4 * x[i + 1] + x[i + 2];
      max = Math.max(max, Math.abs(d));
    }
    return max;
  }

  @Test
  void aHeldKeyLoopsAndThePedalHoldsWhatIsLetGo() {
    float[] x = held(9, "await note(60, 100, 0.1, 8);");
    assertEquals(rmsDb(x, 1, 0.5), rmsDb(x, 7, 0.5), 1);
    float[] pedal =
        held(4, "engine.setPedal(true); await note(60, 100, 0.1, 0.5); engine.setPedal(false, 2);");
    assertEquals(rmsDb(pedal, 0.5, 0.1), rmsDb(pedal, 1.8, 0.1), 1);
    assertTrue(rmsDb(pedal, 3.8, 0.1) < -60);
    float[] plain = held(4, "await note(60, 100, 0.1, 0.5);");
    assertTrue(rmsDb(plain, 1.8, 0.1) < rmsDb(pedal, 1.8, 0.1) - 20);
  }

  @Test
  void theRoomSoundsOnAndIsOffUntilItIsAskedFor() {
    String script = "await note(60, 100, 0.1, 0.3);";
    float[] dry = held(3, script);
    float[] wet = held(3, "engine.setRoom(0);" + script);
    assertTrue(rmsDb(wet, 1.4, 0.1) > rmsDb(dry, 1.4, 0.1) + 20);
  }

  @Test
  void thePageSaysWhenTheLimiterWorks() {
    open("");
    browser.press("g");
    browser.until("a note sounds", () -> !browser.all("#sounding li.on").isEmpty());
    assertTrue(!browser.find("#limited").isDisplayed(), "at the level it starts with");
    browser.press(Keys.ESCAPE);
    browser.run(
        """
        for (const [id, value] of [['level', 0], ['layer-0', 6]]) {
          const fader = document.getElementById(id);
          fader.value = value;
          fader.dispatchEvent(new Event('input'));
        }
        document.getElementById('pedal').click();
        """);
    for (String letter : "asdfghjk".split("")) {
      browser.press(letter);
    }
    browser.until("it is said", () -> browser.find("#limited").isDisplayed());
    browser.press(Keys.ESCAPE);
    browser.until("it is over", () -> !browser.find("#limited").isDisplayed());
  }

  @Test
  void nothingPassesTheCeilingHoweverManyKeysAreStruck() {
    float[] x =
        held(
            2,
            "engine.setFader('close', 6); for (let key = 56; key < 76; key++) await note(key, 127, 0.1, 1);");
    double peak = 0;
    for (float value : x) {
      peak = Math.max(peak, Math.abs(value));
    }
    assertTrue(peak <= 0.8914, "peak " + peak);
    assertTrue(peak > 0.3, "it is limited, not silent: " + peak);
  }

  @Test
  void lettersSoundWithinASecondAndLeadToTheReportAndBack() throws IOException {
    browser.complaints();
    browser.events();
    open("");
    browser.find("main").click();
    browser.press("k");
    browser.until("a sample sounds", () -> !browser.all("#sounding li code").isEmpty());
    double seconds =
        ((Number)
                browser.run(
                    "const [note] = Play.engine().notes; return note ? note.voices[0].at - note.struckAt : 0;"))
            .doubleValue();
    assertTrue(seconds < 1, "first note after " + seconds + " s");
    String file = browser.text("#sounding li code");
    assertTrue(file.startsWith("Brackwater_held_close_"), file);
    browser.find("#sounding li a").click();
    browser.until("the report's page", () -> !browser.all(".sample .facts").isEmpty());
    assertTrue(browser.text(".sample .facts").contains(file));
    browser.find("#play-context").click();
    browser.until("the page asks", () -> !browser.all("#asked #context").isEmpty());
    assertEquals(List.of(), browser.complaints());
    assertEquals(List.of(), browser.badRequests("(file|data|about|blob):.*"));
  }

  @Test
  void aSampleAskedForIsPlayedInItsOwnLayerAndRoundRobin() {
    String file =
        (String)
            browser.run("return Play.library.files.find((f) => f.includes('_held_far_G4_f_rr2'));");
    open("sample=" + file);
    assertTrue(browser.text("#asked h2").startsWith("G4 f rr2"), browser.text("#asked h2"));
    browser.find("#alone").click();
    browser.until(
        "it sounds",
        () -> browser.all("#sounding code").stream().anyMatch(c -> c.getText().equals(file)));
    assertTrue(
        browser.all("#sounding code").stream().allMatch(c -> c.getText().contains("_far_")),
        browser.text("#sounding"));
    browser.find("#context").click();
    browser.until("its neighbours sound", () -> browser.text("#sounding").contains("_B4_f_"));
    open("sample=nothing.wav");
    assertTrue(browser.text("#asked").contains("not in this library"));
  }

  @Test
  void keysOfTheScreenAreButtonsForArrowsAndScreenReaders() {
    open("");
    assertEquals("C4", browser.focused().getDomAttribute("aria-label"));
    browser.press(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT, Keys.ARROW_UP);
    assertEquals("D5", browser.focused().getDomAttribute("aria-label"));
    browser.press(Keys.ENTER);
    browser.until(
        "it is said",
        () ->
            browser
                .run("return document.querySelector('[role=status]').textContent")
                .toString()
                .contains("played at D5"));
    assertEquals(
        1L, browser.run("return document.querySelectorAll('#keyboard [tabindex=\"0\"]').length"));
    assertEquals(
        List.of(),
        browser.run(
            "return [...document.querySelectorAll('input')].filter((i) => !i.labels.length).map((i) => i.id)"));
  }

  @Test
  void aMidiKeyboardPlaysAndItsWheelAndPedalAreHeard() {
    open("");
    browser.run(
        """
        window.port = { name: 'Invented 25', state: 'connected' };
        navigator.requestMIDIAccess = async () => ({ inputs: new Map([['1', window.port]]) });
        """);
    browser.find("#midi").click();
    browser.until("it is named", () -> browser.text("#midi").contains("Invented 25"));
    browser.run(
        """
        const send = (...data) => window.port.onmidimessage({ data });
        send(0xb0, 1, 100); send(0xb0, 64, 127); send(0x90, 64, 90); send(0x80, 64, 0);
        """);
    browser.until("it sounds", () -> browser.all("#sounding li.on").size() == 1);
    assertTrue(browser.text("#sounding li.on").contains("E4 · f"), browser.text("#sounding li.on"));
    assertEquals("100", browser.find("#wheel").getDomProperty("value"));
    assertTrue(browser.find("#pedal").isSelected());
    browser.run("window.port.onmidimessage({ data: [0xb0, 64, 0] });");
    browser.until("it dies away", () -> browser.all("#sounding li.on").isEmpty());
  }

  @Test
  void aFolderWithoutTheSamplesIsRefusedAndADamagedSampleIsNamed() throws IOException {
    browser.open(library.resolve("play.html"), "");
    browser.find("#folder").sendKeys(folder.resolve("session").toString());
    browser.until(
        "it is refused", () -> browser.text("#problem").contains("holds none of this library"));
    assertTrue(browser.find("#source").isDisplayed());
    browser.open(library.resolve("play.html"), "");
    browser.run("Play.cache.read = async () => new ArrayBuffer(100);");
    browser.find("#folder").sendKeys(library.toString());
    browser.until("the folder is taken", () -> !browser.find("#source").isDisplayed());
    browser.press("k");
    browser.find("#scale").click();
    browser.until("it is named", () -> browser.text("#problem").contains(".wav is not a WAV file"));
    open("");
  }

  @Test
  void theCacheKeepsToItsBound() {
    Object report =
        browser.run(
            """
            return (async () => {
              const cache = new SampleCache(Folder.read, 4e6);
              const zones = [...Play.library.byFile.values()];
              let most = 0;
              for (const zone of zones) { await cache.forKey(zone, zone.root + 1, true); most = Math.max(most, cache.bytes); }
              const kept = [...cache.samples.values()].reduce((sum, sample) => sum + SampleCache.size(sample), 0);
              return [most <= 4e6, kept === cache.bytes, cache.samples.size > 1, cache.samples.size < 2 * zones.length].join();
            })()
            """);
    assertEquals("true,true,true,true", report);
  }

  /**
   * A tone at 9 kHz moved by three semitones, and one in a loop of whole periods: what is left when
   * the tone is taken out. A straight line between frames would leave images at -24 dB (the square
   * of sinc(39/48)).
   */
  @Test
  void aKeyBesideItsRootHasNoImagesAndItsLoopNoSeam() {
    for (String loop : List.of("null", "[4800, 14400]")) {
      String base64 =
          (String)
              browser.run(
                  """
                  return (async () => {
                    const buffer = new AudioBuffer({ numberOfChannels: 1, length: 48000, sampleRate: 48000 });
                    buffer.getChannelData(0).forEach((x, i, all) => { all[i] = Math.sin(2 * Math.PI * 9000 * i / 48000); });
                    const zone = { file: 'tone', root: 60, loopStart: null, loopEnd: null };
                    const cache = new SampleCache(null);
                    cache.keep('tone', { buffer, loop: %s });
                    const moved = await cache.forKey(zone, 63, true);
                    const context = new OfflineAudioContext(1, 48000, 48000);
                    const source = new AudioBufferSourceNode(context, { buffer: moved.buffer, playbackRate: moved.rate, loop: moved.loop !== null });
                    if (moved.loop) [source.loopStart, source.loopEnd] = moved.loop.map((frame) => frame / 48000);
                    source.connect(context.destination);
                    source.start();
                    const audio = await context.startRendering();
                    const bytes = new Uint8Array(audio.getChannelData(0).slice(2000, 34000).buffer);
                    return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(''));
                  })()
                  """
                      .formatted(loop));
      float[] x = floats(base64);
      // In a loop the pitch is the nearest at which the loop is a whole number of frames.
      double step =
          loop.equals("null")
              ? Math.pow(2, 3 / 12.0)
              : 9600 / Math.rint(9600 / Math.pow(2, 3 / 12.0));
      assertEquals(300, 1200 * Math.log(step) / Math.log(2), 0.2, "cents");
      assertTrue(
          residualDb(x, 9000 * step) < -90, loop + ": " + residualDb(x, 9000 * step) + " dB");
    }
  }

  /** What a sine leaves when the nearest one of its frequency is taken from it, against it. */
  private static double residualDb(float[] x, double hz) {
    double a = 0;
    double b = 0;
    double weight = 0;
    for (int i = 0; i < x.length; i++) {
      double w = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / x.length);
      a += 2 * w * x[i] * Math.sin(2 * Math.PI * hz * i / RATE);
      b += 2 * w * x[i] * Math.cos(2 * Math.PI * hz * i / RATE);
      weight += w;
    }
    double left = 0;
    for (int i = 0; i < x.length; i++) {
      double phase = 2 * Math.PI * hz * i / RATE;
      double rest = x[i] - (a * Math.sin(phase) + b * Math.cos(phase)) / weight;
      left += rest * rest;
    }
    return 10 * Math.log10(2 * left / x.length);
  }
}
