package takewright.service;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.openqa.selenium.Keys;
import takewright.audio.original.Originals;
import takewright.diagnosis.Flag;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.report.Browser;
import takewright.report.PlantedSession;
import takewright.report.ReportedBuild;
import takewright.service.access.GrantedFolders;
import takewright.service.build.BuildCalls;
import takewright.service.build.BuildPages;
import takewright.service.build.Builds;
import takewright.service.call.Site;
import takewright.service.work.Workers;
import takewright.sheet.cell.CellStatus;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.OpenBuildPageRequest;
import takewright.v1.Rebuilt;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** Decisions on a page that a service shows: saved, and their samples made again. */
class LivePageTest {
  @TempDir Path root;
  private Path sheet;
  private Path library;
  private Workers workers;
  private BuildPages pages;
  private Server server;
  private ManagedChannel channel;
  private LibraryServiceBlockingStub stub;

  @BeforeEach
  void start() throws IOException {
    root = root.toRealPath();
    library = root.resolve("library");
    sheet = PlantedSession.built(root);
    Site site = new Site(GrantedFolders.of(List.of(root)), workers = new Workers(2));
    pages = new BuildPages();
    String name = "live-" + System.nanoTime();
    server =
        InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(
                new LibraryService(
                    site, new BuildCalls(site, pages, new Builds(null), ReportedBuild::runUndrawn)))
            .build()
            .start();
    channel = InProcessChannelBuilder.forName(name).build();
    stub = LibraryServiceGrpc.newBlockingStub(channel).withDeadlineAfter(120, TimeUnit.SECONDS);
  }

  @AfterEach
  void stop() {
    channel.shutdownNow();
    server.shutdownNow();
    workers.close();
    pages.close();
  }

  /** Builds; the address of the page. */
  private String build(StartBuildRequest.Builder request) {
    String id =
        stub.startBuild(
                request.setSheetFile(sheet.toString()).setOutputFolder(library.toString()).build())
            .getBuild()
            .getBuildId();
    stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(id).build())
        .forEachRemaining(answer -> {});
    return stub.openBuildPage(OpenBuildPageRequest.newBuilder().setBuildId(id).build()).getUrl();
  }

  private List<IndexRow> rows() throws IOException {
    return IndexCsv.read(library.resolve("index.csv"));
  }

  private static String post(String page, String text) throws IOException, InterruptedException {
    return post(page, text, null);
  }

  /** Posts decisions as a page of an origin would; of no known origin if it is null. */
  private static String post(String page, String text, String origin)
      throws IOException, InterruptedException {
    URI address = URI.create(page.replace("report/index.html", "decisions"));
    HttpRequest.Builder request =
        HttpRequest.newBuilder(address).POST(HttpRequest.BodyPublishers.ofString(text));
    if (origin != null) {
      request.header("Origin", origin);
    }
    HttpResponse<String> answer =
        HttpClient.newHttpClient().send(request.build(), HttpResponse.BodyHandlers.ofString());
    return answer.statusCode() + " " + answer.body();
  }

  @Test
  void aDecisionOnThePageIsSavedAndTheLibraryMadeAgainByIt() throws IOException {
    String address = build(StartBuildRequest.newBuilder());
    IndexRow retake =
        rows().stream().filter(r -> r.status() == CellStatus.RETAKE).findFirst().orElseThrow();
    try (Browser browser = new Browser(root)) {
      browser.complaints();
      browser.open(address);
      browser.find("#attention");
      browser.open(address + "#sample-" + rows().indexOf(retake));
      browser.until("its pictures", () -> browser.all(".pictures figure canvas").size() == 3);
      browser.find("[data-decide='this one instead']").click();
      browser.until(
          "the library is made again",
          () -> browser.find("main").getDomAttribute("data-builds") != null);
      browser.until("it is said", () -> browser.text("#saved").contains("made again"));
      // What changed is listed, and what is gone can still be heard.
      browser.press("6");
      browser.until("a new sample or a changed one", () -> !browser.all(".changes li").isEmpty());
      browser.find(".changes [aria-label$='as it was']").click();
      browser.untilSoundIs("playing");
      browser.press("s");
      browser.run("history.back()");
      browser.find(".sample .facts");
      // The page stands on the same region, which is a sample now.
      assertTrue(browser.text(".facts").contains("kept"), browser.text(".facts"));
      browser.find("#play-after").click();
      browser.untilSoundIs("playing");
      browser.press("s");

      Path saved = library.resolve("decisions.yaml");
      assertTrue(Originals.isOwn(saved));
      assertTrue(Files.readString(saved).contains("keep: yes"));
      IndexRow now = at(retake.stretch().startS());
      assertEquals(CellStatus.KEPT, now.status());

      browser.press("u");
      browser.until(
          "and again without it",
          () -> "2".equals(browser.find("main").getDomAttribute("data-builds")));
      assertEquals(CellStatus.RETAKE, at(retake.stretch().startS()).status());
      assertFalse(Files.readString(saved).contains("keep: yes"));
      assertEquals(List.of(), browser.complaints());
    }
  }

  @Test
  void thePicturesOfABuildThatIsDoneAreDrawnByItself() throws IOException, InterruptedException {
    build(StartBuildRequest.newBuilder());
    Path progress = library.resolve("report/data/progress.js");
    long endNs = System.nanoTime() + TimeUnit.SECONDS.toNanos(120);
    while (!Files.readString(progress).contains("\"drawn\":1.0")) {
      assertTrue(System.nanoTime() < endNs, "the pictures are never drawn");
      Thread.sleep(20);
    }
    for (IndexRow row : rows()) {
      if (row.file() != null) {
        String name = row.file().replace(".wav", ".js");
        assertTrue(Files.exists(library.resolve("report/pictures").resolve(name)), name);
      }
    }
  }

  @Test
  void aMovedEndIsHeardAsSoonAsItIsMade() throws IOException {
    String address = build(StartBuildRequest.newBuilder());
    IndexRow kept =
        rows().stream().filter(r -> r.status() == CellStatus.KEPT).findFirst().orElseThrow();
    try (Browser browser = new Browser(root)) {
      browser.complaints();
      browser.open(address + "#sample-" + rows().indexOf(kept));
      browser.find(".handles canvas");
      browser.find("[data-handle='end_s']").sendKeys(Keys.PAGE_DOWN, Keys.PAGE_DOWN);
      browser.untilSoundIs("playing");
      browser.press("s");
      browser.press(Keys.ENTER);
      browser.until(
          "it is made again", () -> browser.find("main").getDomAttribute("data-builds") != null);
      browser.untilSoundIs("playing");
      IndexRow now = at(kept.stretch().startS());
      assertEquals(kept.stretch().endS() - 0.02, now.stretch().endS(), 1e-3);
      assertEquals(kept.file(), now.file());
      browser.until(
          "the handle has the focus again",
          () -> "end_s".equals(browser.focused().getDomAttribute("data-handle")));
      assertEquals(List.of(), browser.complaints());

      // What is moved while the next build runs is not lost.
      browser.press("s");
      browser.press(Keys.PAGE_DOWN, Keys.ENTER, Keys.PAGE_DOWN);
      browser.until(
          "made once more", () -> "2".equals(browser.find("main").getDomAttribute("data-builds")));
      browser.find(".handles canvas");
      browser.until(
          "the handle is where it was moved to",
          () ->
              Math.abs(
                      Double.parseDouble(
                              browser
                                  .find("[data-handle='end_s']")
                                  .getDomAttribute("aria-valuenow"))
                          - (kept.stretch().endS() - 0.04))
                  < 1e-3);
    }
  }

  @Test
  void whatIsAcceptedIsRememberedByTheNextBuild() throws IOException {
    String address = build(StartBuildRequest.newBuilder());
    IndexRow clipped =
        rows().stream()
            .filter(r -> r.status() == CellStatus.KEPT && r.flags().contains(Flag.CLIPPED))
            .findFirst()
            .orElseThrow();
    try (Browser browser = new Browser(root)) {
      browser.open(address);
      browser.find("#item-2");
      String before = browser.text(".attention h2");
      browser.find("[data-row='" + rows().indexOf(clipped) + "'] .accept").click();
      browser.until(
          "it is made again", () -> browser.find("main").getDomAttribute("data-builds") != null);
      String after = browser.text(".attention h2");
      assertEquals(number(before) - 1, number(after));
      assertEquals(Set.of(), at(clipped.stretch().startS()).flags());

      // Another build, and a browser that knows nothing of the first.
      String another = build(StartBuildRequest.newBuilder());
      browser.run("localStorage.clear()");
      browser.open(another);
      browser.find("#item-2");
      assertEquals(after, browser.text(".attention h2"));
      assertTrue(browser.text("#views").contains("Decisions (1)"));
    }
  }

  @Test
  void anEditOfTheSheetIsBuiltAndOnlyWhatFollowsFromIt() throws IOException {
    String layers = "layers: [{name: close}, {name: haze, chain: [{saturation: 6}]}]\n";
    edit(text -> text.replace("takes:", layers + "takes:"));
    String address = build(StartBuildRequest.newBuilder());
    Map<String, byte[]> before = samples();
    try (Browser browser = new Browser(root)) {
      browser.complaints();
      browser.open(address);
      browser.find("#item-1");
      edit(text -> text.replace("saturation: 6", "saturation: 9"));
      browser.until(
          "the library is built again",
          () -> "1".equals(browser.find("main").getDomAttribute("data-builds")));
      browser.until(
          "it says what changed", () -> browser.text("#saved").contains("sheet.yaml was saved"));
      String said = browser.text("#saved");
      Map<String, byte[]> after = samples();
      assertEquals(before.keySet(), after.keySet());
      for (String name : before.keySet()) {
        boolean isSame = Arrays.equals(before.get(name), after.get(name));
        assertEquals(!name.contains("_haze_"), isSame, name);
      }
      int changed = (int) before.keySet().stream().filter(n -> n.contains("_haze_")).count();
      assertTrue(changed > 5 && said.contains(changed + " changed"), said);

      // A slip of the pen: it is said with its line, and everything stays.
      edit(text -> text.replace("dynamics:", "dynamcs:"));
      browser.until("the slip", () -> browser.text("#running").contains("dynamcs"));
      String slip = browser.text("#running");
      assertTrue(slip.contains("sheet.yaml") && slip.contains("dynamics"), slip);
      assertFalse(browser.all("#item-1").isEmpty(), "the page stays");
      assertAlike(after, samples());

      // A decision that cannot be saved meanwhile is saved once the sheet can be read.
      browser.open(address + "#sample-" + rows().indexOf(firstKept()));
      browser.find(".sample .facts");
      browser.press("d");
      browser.until("it is not saved", () -> browser.text("#saved").contains("not saved"));
      edit(text -> text.replace("dynamcs:", "dynamics:"));
      browser.until("the slip is gone", () -> !browser.find("#running").isDisplayed());
      browser.until("the decision is saved", () -> Files.exists(library.resolve("decisions.yaml")));
      // The browser itself complains of the decision that was refused.
      assertEquals(
          List.of(), browser.complaints().stream().filter(c -> !c.contains(" 400 ")).toList());
    }
  }

  @Test
  void aWatchThatGoesOnHearsOfEditsAndOfDecisions() throws Exception {
    String id =
        stub.startBuild(
                StartBuildRequest.newBuilder()
                    .setSheetFile(sheet.toString())
                    .setOutputFolder(library.toString())
                    .build())
            .getBuild()
            .getBuildId();
    Iterator<WatchBuildResponse> answers =
        stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(id).setWithPage(true).build());
    WatchBuildResponse answer = answers.next();
    while (!answer.hasResult()) {
      answer = answers.next();
    }
    int samples = answer.getResult().getSamples();
    edit(text -> "# Saved without a change of the plan.\n" + text);
    Rebuilt same = answers.next().getRebuilt();
    assertEquals(sheet.toString(), same.getEditedSheet());
    assertEquals(samples, same.getResult().getSamplesReused());
    assertEquals(0, same.getResult().getChanges().getSamplesChanged());

    edit(text -> text.replace("A3..E4", "A3..D4"));
    Rebuilt fewer = answers.next().getRebuilt();
    assertTrue(fewer.getResult().getChanges().getSamplesVanished() >= 1, fewer.toString());

    edit(text -> text.replace("A3..D4", "A3..H4"));
    Rebuilt slip = answers.next().getRebuilt();
    assertFalse(slip.hasResult());
    assertTrue(slip.getError().contains("sheet.yaml") && slip.getError().contains("H4"));

    edit(text -> text.replace("A3..H4", "A3..E4"));
    assertEquals(samples, answers.next().getRebuilt().getResult().getSamples());

    String page =
        stub.openBuildPage(OpenBuildPageRequest.newBuilder().setBuildId(id).build()).getUrl();
    post(page, "takes:\n  - {file: 'take #1 50%.wav', fixes: [{at: 3.5, gain_db: -1}]}\n");
    Rebuilt decided = answers.next().getRebuilt();
    assertEquals("", decided.getEditedSheet());
    assertEquals(1, decided.getResult().getChanges().getSamplesChanged(), decided.toString());
  }

  private void edit(UnaryOperator<String> edit) throws IOException {
    // As an editor saves: a new file takes the place of the old one.
    Path draft = Files.writeString(root.resolve("draft"), edit.apply(Files.readString(sheet)));
    Files.move(draft, sheet, StandardCopyOption.REPLACE_EXISTING);
  }

  private IndexRow firstKept() throws IOException {
    return rows().stream().filter(r -> r.status() == CellStatus.KEPT).findFirst().orElseThrow();
  }

  private Map<String, byte[]> samples() throws IOException {
    Map<String, byte[]> samples = new TreeMap<>();
    for (IndexRow row : rows()) {
      if (row.file() != null && !row.file().isEmpty()) {
        samples.put(row.file(), Files.readAllBytes(library.resolve(row.file())));
      }
    }
    return samples;
  }

  private static void assertAlike(Map<String, byte[]> a, Map<String, byte[]> b) {
    assertEquals(a.keySet(), b.keySet());
    a.forEach((name, bytes) -> assertArrayEquals(bytes, b.get(name), name));
  }

  private static int number(String heading) {
    return Integer.parseInt(heading.substring(0, heading.indexOf(' ')));
  }

  private IndexRow at(double startS) throws IOException {
    return rows().stream()
        .filter(r -> r.stretch().startS() != null && Math.abs(r.stretch().startS() - startS) < 1e-6)
        .findFirst()
        .orElseThrow();
  }

  @Test
  void soundsAndPicturesOfAnyRegionAreMadeWhenAskedFor() throws IOException {
    String address = build(StartBuildRequest.newBuilder());
    List<IndexRow> rows = rows();
    Set<CellStatus> seen = EnumSet.noneOf(CellStatus.class);
    try (Browser browser = new Browser(root)) {
      browser.complaints();
      for (IndexRow row : rows) {
        if (row.stretch().startS() == null || !seen.add(row.status())) {
          continue;
        }
        browser.open(address + "#sample-" + rows.indexOf(row));
        browser.find(".pictures figure canvas");
        browser.find(".handles canvas");
        browser.find("#play-before").click();
        browser.untilSoundIs("playing");
        if (row.file() != null) {
          browser.press("r");
          browser.until("what was removed", () -> browser.text(".said").contains("removed"));
        }
        browser.press("s");
      }
      assertEquals(List.of(), browser.complaints());
    }
  }

  @Test
  void aPersonsFileIsNeverWrittenOver() throws IOException, InterruptedException {
    String mine = "takes:\n  - {file: 'take #1 50%.wav', fixes: [{at: 3.5, gain_db: -1}]}\n";
    Path given = Files.writeString(root.resolve("mine.yaml"), mine);
    String address = build(StartBuildRequest.newBuilder().setDecisionsFile(given.toString()));
    try (Browser browser = new Browser(root)) {
      browser.open(address + "#decisions");
      // What the file decides stands on the page, so that it is saved with the rest.
      assertTrue(browser.find("#lines").getDomProperty("value").contains("gain_db: -1"));
    }
    String answer = post(address, "takes: []\n");
    assertTrue(answer.startsWith("200 "), answer);
    assertTrue(answer.contains(library.resolve("decisions.yaml").toString()), answer);
    assertEquals(mine, Files.readString(given));

    // Nor one beside the library, once it was changed.
    Path saved = library.resolve("decisions.yaml");
    Files.writeString(saved, mine);
    answer = post(address, "takes: []\n");
    assertEquals(
        "409 {\"error\":\""
            + saved
            + ": Takewright did not write this file, or it was changed since; move it away, and"
            + " decide again\"}",
        answer);
    assertEquals(mine, Files.readString(saved));
  }

  @Test
  void whatIsNoDecisionIsRefusedAndSavesNothing() throws IOException, InterruptedException {
    String address = build(StartBuildRequest.newBuilder());
    String answer = post(address, "takes: [{file: 'take #1 50%.wav', fixes: [{at: 3, kep: yes}]}]");
    assertTrue(answer.startsWith("400 "), answer);
    assertTrue(answer.contains("keep"), answer);
    // A page of another site, even if it knows the address.
    answer = post(address, "takes: []\n", "http://example.org");
    assertTrue(answer.startsWith("404 "), answer);
    answer = post(address, "#".repeat((4 << 20) + 1));
    assertTrue(answer.startsWith("413 "), answer);
    assertFalse(Files.exists(library.resolve("decisions.yaml")));
    assertTrue(
        post(address.replaceAll("/[0-9a-f]{64}/", "/" + "0".repeat(64) + "/"), "")
            .startsWith("405 "));
  }
}
