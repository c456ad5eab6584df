@echo off
rem Runs a command of the program from the folder that it was unpacked in.
setlocal EnableExtensions DisableDelayedExpansion
set "TAKEWRIGHT_HOME=%~dp0.."
if /i "%~1"=="test" goto sources
if /i "%~1"=="bench" goto sources
if /i "%~1"=="dist" goto sources

set "TAKEWRIGHT_JAVA=%TAKEWRIGHT_HOME%\runtime\bin\java.exe"
if exist "%TAKEWRIGHT_JAVA%" goto run
if not defined JAVA_HOME goto path
rem Some write the folder in quotes.
set "TAKEWRIGHT_JAVA=%JAVA_HOME:"=%\bin\java.exe"
if exist "%TAKEWRIGHT_JAVA%" goto version
echo takewright: JAVA_HOME is "%JAVA_HOME:"=%", but there is no bin\java.exe in it; set it to Java 17 or later, or unset it>&2
exit /b 2

:path
set "TAKEWRIGHT_JAVA="
for %%j in (java.exe) do set "TAKEWRIGHT_JAVA=%%~$PATH:j"
if defined TAKEWRIGHT_JAVA goto version
echo takewright: Java is not installed; install Java 17 or later, or set JAVA_HOME to it>&2
exit /b 2

:version
rem A Java says its version in a file; asking java itself would cost as much as a small job.
set "TAKEWRIGHT_VERSION="
for %%j in ("%TAKEWRIGHT_JAVA%") do set "TAKEWRIGHT_RELEASE=%%~dpj..\release"
if exist "%TAKEWRIGHT_RELEASE%" for /f "usebackq tokens=1,2 delims==" %%a in ("%TAKEWRIGHT_RELEASE%") do if "%%a"=="JAVA_VERSION" set "TAKEWRIGHT_VERSION=%%~b"
if not defined TAKEWRIGHT_VERSION for /f "tokens=3" %%a in ('^""%TAKEWRIGHT_JAVA%" -version 2^>^&1^"') do if not defined TAKEWRIGHT_VERSION set "TAKEWRIGHT_VERSION=%%~a"
set "TAKEWRIGHT_MAJOR=0"
for /f "delims=.-+_" %%a in ("%TAKEWRIGHT_VERSION%") do set /a "TAKEWRIGHT_MAJOR=%%a" 2>nul
if %TAKEWRIGHT_MAJOR% GEQ 17 goto run
if not defined TAKEWRIGHT_VERSION set "TAKEWRIGHT_VERSION=of an unknown version"
echo takewright: Java 17 or later is needed, and "%TAKEWRIGHT_JAVA%" is %TAKEWRIGHT_VERSION%; install it, or set JAVA_HOME to it>&2
exit /b 2

:run
rem A service gives memory back between its builds.
set "TAKEWRIGHT_GC=-XX:+UseParallelGC -XX:Tier4InvocationThreshold=15000 -XX:Tier4MinInvocationThreshold=1800 -XX:Tier4CompileThreshold=45000 -XX:Tier4BackEdgeThreshold=120000 -XX:InlineSmallCode=600 -XX:FreqInlineSize=100 -XX:-DoEscapeAnalysis"
if /i "%~1"=="serve" set "TAKEWRIGHT_GC=-XX:+UseG1GC -XX:MinHeapFreeRatio=10 -XX:MaxHeapFreeRatio=30 -XX:InlineSmallCode=600 -XX:FreqInlineSize=100"
rem The program prints UTF-8, which a console shows as code page 65001. At the end it has its own again.
set "TAKEWRIGHT_PAGE="
for /f "tokens=2 delims=:." %%a in ('chcp 2^>nul') do set "TAKEWRIGHT_PAGE=%%a"
if defined TAKEWRIGHT_PAGE chcp 65001 >nul 2>&1
"%TAKEWRIGHT_JAVA%" -Xlog:disable %TAKEWRIGHT_GC% -Dfile.encoding=UTF-8 -jar "%TAKEWRIGHT_HOME%\lib\takewright.jar" %*
set "TAKEWRIGHT_STATUS=%ERRORLEVEL%"
if defined TAKEWRIGHT_PAGE chcp %TAKEWRIGHT_PAGE% >nul 2>&1
exit /b %TAKEWRIGHT_STATUS%

:sources
echo takewright: %~1 needs the program's sources; this is a built program>&2
exit /b 2
