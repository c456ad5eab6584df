package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import java.io.IOException;
import java.io.InputStream;
import java.net.Socket;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Iterator;
import java.util.List;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.library.BuildOrder;
import takewright.library.BuildStep;
import takewright.report.Browser;
import takewright.report.PageSource;
import takewright.report.PlantedSession;
import takewright.report.ReportedBuild;
import takewright.service.access.GrantedFolders;
import takewright.service.build.BuildCalls;
import takewright.service.build.BuildPages;
import takewright.service.build.Builds;
import takewright.service.call.Site;
import takewright.service.work.Workers;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.OpenBuildPageRequest;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** The page of a build, opened from the server that builds. */
class BuildPageTest {
  @TempDir Path root;
  private Path granted;
  private Path library;
  private Workers workers;
  private BuildPages pages;
  private Server server;
  private ManagedChannel channel;
  private LibraryServiceBlockingStub stub;

  @BeforeEach
  void start() throws IOException {
    root = root.toRealPath();
    granted = Files.createDirectory(root.resolve("granted"));
    library = granted.resolve("library");
    GrantedFolders folders = GrantedFolders.of(List.of(granted));
    workers = new Workers(2);
    pages = new BuildPages();
    Site site = new Site(folders, workers);
    String name = "pages-" + System.nanoTime();
    server =
        InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(
                new LibraryService(
                    site, new BuildCalls(site, pages, new Builds(null), BuildPageTest::slowBuild)))
            .build()
            .start();
    channel = InProcessChannelBuilder.forName(name).build();
    stub = LibraryServiceGrpc.newBlockingStub(channel).withDeadlineAfter(120, TimeUnit.SECONDS);
  }

  /** A real build on a machine so slow that a browser can watch it. */
  private static takewright.library.BuildResult slowBuild(
      BuildOrder order,
      Consumer<takewright.library.BuildProgress> progress,
      BooleanSupplier cancelled,
      boolean allSounds,
      Consumer<PageSource> served)
      throws IOException {
    return ReportedBuild.run(
        order,
        now -> {
          progress.accept(now);
          try {
            Thread.sleep(now.step() == BuildStep.WRITE ? 400 : 0);
          } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
          }
        },
        cancelled,
        allSounds,
        served);
  }

  @AfterEach
  void stop() {
    channel.shutdownNow();
    server.shutdownNow();
    workers.close();
    pages.close();
  }

  /** Starts a build; its id. */
  private String build() throws IOException {
    Path sheet = PlantedSession.write(granted.resolve("session"));
    return stub.startBuild(
            StartBuildRequest.newBuilder()
                .setSheetFile(sheet.toString())
                .setOutputFolder(library.toString())
                .build())
        .getBuild()
        .getBuildId();
  }

  private Iterator<WatchBuildResponse> watch(String buildId) {
    return stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(buildId).build());
  }

  private String page(String buildId) {
    return stub.openBuildPage(OpenBuildPageRequest.newBuilder().setBuildId(buildId).build())
        .getUrl();
  }

  @Test
  void aBrowserSeesTheCellsFillAndThenTheFinishedPage() throws IOException {
    try (Browser browser = new Browser(root)) {
      String id = build();
      Iterator<WatchBuildResponse> answers = watch(id);
      String address = page(id);
      assertTrue(address.startsWith("http://127.0.0.1:"), address);
      browser.complaints();
      browser.events();
      browser.open(address);
      browser.find("#build");
      assertEquals(16, browser.all(".grid .cell").size());
      TreeSet<Integer> filled = new TreeSet<>();
      browser.until(
          "cells fill while the build runs",
          () -> {
            if (!browser.all("#build").isEmpty()) {
              filled.add(browser.all("#build .grid .cell.kept, #build .grid .flagged").size());
            }
            return filled.size() >= 4;
          });
      assertEquals(2, browser.all("#build .grid .cell.missing").size());
      String words = browser.text("#build p.row");
      assertTrue(words.matches("(?s)writing take #1 50%.wav, \\d+ of 14 samples.*left"), words);
      while (answers.hasNext()) {
        answers.next();
      }
      browser.until("the page is finished", () -> !browser.all("#attention").isEmpty());
      assertTrue(browser.text("#count-kept").contains(" 14 of 16 "), browser.text("#count-kept"));
      browser.find("#item-2").click();
      browser.until("its pictures", () -> browser.all(".pictures figure canvas").size() == 5);
      for (String sound : List.of("after", "before")) {
        browser.find("#play-" + sound).click();
        browser.untilSoundIs("playing");
        browser.find("footer button").click();
      }
      browser.find(".tools a[href='../play.html']").click();
      browser.until("the library can be played", () -> !browser.all("#keyboard .key").isEmpty());
      assertFalse(browser.find("#source").isDisplayed(), "no folder is asked for");
      browser.press("h");
      browser.until(
          "a sample sounds", () -> !browser.all("#sounding li.on, #sounding code").isEmpty());
      assertFalse(browser.find("#problem").isDisplayed(), browser.text("#problem"));
      assertEquals(List.of(), browser.complaints());
      String own = address.substring(0, address.indexOf("/report/"));
      assertEquals(List.of(), browser.badRequests("(data|about|blob):.*|\\Q" + own + "/\\E.*"));
    }
  }

  @Test
  void onlyTheOutputFolderIsShownAndOnlyToWhoHasTheToken() throws IOException {
    String buildId = build();
    Iterator<WatchBuildResponse> answers = watch(buildId);
    URI page = URI.create(page(buildId));
    assertEquals(page.toString(), page(buildId));
    while (answers.hasNext()) {
      answers.next();
    }
    Path secret = Files.writeString(granted.resolve("secret.txt"), "secret");
    Files.createSymbolicLink(library.resolve("link.txt"), secret);
    Files.createSymbolicLink(library.resolve("up"), granted);
    Files.writeString(library.resolve("other.json"), "{}");
    String folder = page.getPath().replace("report/index.html", "");
    String token = folder.split("/")[3];

    assertEquals(200, status("GET", page, page.getPath()));
    assertEquals(200, status("HEAD", page, page.getPath()));
    assertEquals(200, status("GET", page, folder + "index.csv"));
    assertEquals(405, status("POST", page, page.getPath()));
    assertEquals(405, status("DELETE", page, page.getPath()));
    for (String hidden :
        List.of(
            "../secret.txt",
            "%2e%2e/secret.txt",
            "report/../index.csv",
            "..%2fsecret.txt",
            "..%5csecret.txt",
            "%00",
            "link.txt",
            "up/secret.txt",
            "/etc/passwd",
            "//etc/passwd",
            ".takewright/journal.jsonl",
            ".takewright/before/../journal.jsonl",
            ".takewright/before/..%2fjournal.jsonl",
            ".takewright/before/",
            "other.json",
            "report",
            "report/",
            "")) {
      assertEquals(404, status("GET", page, folder + hidden), hidden);
    }
    for (String other :
        List.of(
            "/builds/",
            "/builds/" + buildId,
            "/builds/" + buildId + "/",
            "/builds/" + buildId + "//report/index.html",
            page.getPath().replace(token, token.substring(1)),
            page.getPath().replace(token, "0".repeat(token.length())),
            page.getPath().replace(buildId, "build-999"),
            "/")) {
      assertEquals(404, status("GET", page, other), other);
    }
  }

  @Test
  void anUnknownBuildHasNoPage() {
    StatusRuntimeException e = assertThrows(StatusRuntimeException.class, () -> page("build-12"));
    assertEquals(Status.Code.NOT_FOUND, e.getStatus().getCode());
  }

  /** The address as it stands: clients of the JDK would tidy it up. */
  private static int status(String method, URI server, String path) throws IOException {
    try (Socket socket = new Socket(server.getHost(), server.getPort())) {
      socket.setSoTimeout(10_000);
      String request = method + " " + path + " HTTP/1.0\r\nHost: " + server.getHost() + "\r\n\r\n";
      socket.getOutputStream().write(request.getBytes(StandardCharsets.US_ASCII));
      try (InputStream in = socket.getInputStream()) {
        String answer = new String(in.readAllBytes(), StandardCharsets.UTF_8);
        assertTrue(answer.startsWith("HTTP/1."), answer);
        return Integer.parseInt(answer.substring(9, 12));
      }
    }
  }
}
