package takewright.report;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Supplier;
import java.util.logging.Level;
import org.openqa.selenium.By;
import org.openqa.selenium.Dimension;
import org.openqa.selenium.StaleElementReferenceException;
import org.openqa.selenium.WebElement;
import org.openqa.selenium.chrome.ChromeDriver;
import org.openqa.selenium.chrome.ChromeDriverService;
import org.openqa.selenium.chrome.ChromeOptions;
import org.openqa.selenium.interactions.Actions;
import org.openqa.selenium.logging.LogEntry;
import org.openqa.selenium.logging.LogType;
import org.openqa.selenium.logging.LoggingPreferences;
import takewright.testing.Outside;

/** A browser without a window that looks at a page. */
public final class Browser implements AutoCloseable {
  private static final Duration PATIENCE = Duration.ofSeconds(20);

  private final ChromeDriver driver;

  public Browser(Path downloads) {
    Path chromium = Outside.tool("chromium");
    Path chromedriver = Outside.tool("chromedriver");
    ChromeOptions options = new ChromeOptions();
    options.setBinary(chromium.toFile());
    options.addArguments(
        "--headless=new", "--no-sandbox", "--window-size=1366,860", "--mute-audio");
    options.setExperimentalOption(
        "prefs", java.util.Map.of("download.default_directory", downloads.toString()));
    LoggingPreferences logs = new LoggingPreferences();
    logs.enable(LogType.BROWSER, Level.ALL);
    logs.enable(LogType.PERFORMANCE, Level.ALL);
    options.setCapability("goog:loggingPrefs", logs);
    driver =
        new ChromeDriver(
            new ChromeDriverService.Builder()
                .usingDriverExecutable(chromedriver.toFile())
                .usingAnyFreePort()
                .build(),
            options);
  }

  public void open(Path page, String view) {
    open(page.toUri() + "#" + view);
  }

  public void open(String address) {
    // By way of an empty page, so that what is on the page is read again.
    driver.get("about:blank");
    driver.get(address);
    until(
        "the page is ready",
        () -> !driver.findElements(By.cssSelector("main[data-ready]")).isEmpty());
  }

  public WebElement find(String selector) {
    until(selector, () -> !driver.findElements(By.cssSelector(selector)).isEmpty());
    return driver.findElement(By.cssSelector(selector));
  }

  public List<WebElement> all(String selector) {
    return driver.findElements(By.cssSelector(selector));
  }

  public String text(String selector) {
    return find(selector).getText();
  }

  public Object run(String script) {
    return driver.executeScript(script);
  }

  /** Keys as a person presses them, to whatever has the focus. */
  public void press(CharSequence... keys) {
    new Actions(driver).sendKeys(keys).perform();
  }

  /** A key while a modifier is held. */
  public void pressWith(CharSequence modifier, CharSequence key) {
    new Actions(driver).keyDown(modifier).sendKeys(key).keyUp(modifier).perform();
  }

  /** Drags an element sideways by so many pixels. */
  public void drag(WebElement element, int pixels) {
    new Actions(driver).dragAndDropBy(element, pixels, 0).perform();
  }

  /** Gives the window another size for as long as something is asked. */
  public Object inWindowOf(int width, int height, String script) {
    Dimension usual = driver.manage().window().getSize();
    driver.manage().window().setSize(new Dimension(width, height));
    try {
      return run(script);
    } finally {
      driver.manage().window().setSize(usual);
    }
  }

  public WebElement focused() {
    return driver.switchTo().activeElement();
  }

  public void until(String what, Supplier<Boolean> holds) {
    long end = System.nanoTime() + PATIENCE.toNanos();
    while (System.nanoTime() < end) {
      try {
        if (holds.get()) {
          return;
        }
        Thread.sleep(30);
      } catch (StaleElementReferenceException redrawn) {
        continue;
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw new IllegalStateException(e);
      }
    }
    throw new AssertionError("waited in vain: " + what);
  }

  /** Until the page's sound has the state; anything else it said is in the failure. */
  public void untilSoundIs(String state) {
    until(
        "the sound is " + state + ", not: " + text(".said"),
        () -> state.equals(run("return document.querySelector('audio').dataset.state")));
  }

  /** Everything the console complained about. */
  public List<String> complaints() {
    List<String> complaints = new ArrayList<>();
    for (LogEntry entry : driver.manage().logs().get(LogType.BROWSER)) {
      if (entry.getLevel().intValue() >= Level.WARNING.intValue()) {
        complaints.add(entry.getMessage());
      }
    }
    return complaints;
  }

  /** Requests since last asked that failed, or went anywhere but to addresses like these. */
  public List<String> badRequests(String addresses) throws IOException {
    List<String> bad = new ArrayList<>();
    for (String text : events()) {
      JsonNode message = new ObjectMapper().readTree(text).path("message");
      String method = message.path("method").asText();
      String url = message.at("/params/request/url").asText();
      boolean elsewhere = method.equals("Network.requestWillBeSent") && !url.matches(addresses);
      boolean refused = message.at("/params/response/status").asInt() >= 400;
      if (method.equals("Network.loadingFailed") || elsewhere || refused) {
        bad.add(text);
      }
    }
    return bad;
  }

  /** What the network did since last asked, as events of the DevTools protocol. */
  public List<String> events() {
    List<String> events = new ArrayList<>();
    driver.manage().logs().get(LogType.PERFORMANCE).forEach(e -> events.add(e.getMessage()));
    return events;
  }

  @Override
  public void close() {
    driver.quit();
  }
}
