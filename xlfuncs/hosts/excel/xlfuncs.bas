Attribute VB_Name = "xlfuncs"
Option Explicit
' Worksheet functions and ribbon of xlfuncs @VERSION@, made by 'xlfuncs install excel': changes are lost.
'
' The functions run in a Python process, which xlwings' library starts and which ends with Excel. Which one
' that is stands in this add-in's own sheet: no active workbook, no folder and no setting of the user or
' of another add-in is asked, so that a workbook from elsewhere has no say in what runs here.

#If Win64 Then
Private Const LIBRARY As String = "xlwings64-@XLWINGS@.dll"
Private Declare PtrSafe Function XLPyDLLActivateAuto Lib "xlwings64-@XLWINGS@.dll" (ByRef found As Variant, ByVal command As String, ByVal mode As Long) As Long
#Else
Private Const LIBRARY As String = "xlwings32-@XLWINGS@.dll"
Private Declare PtrSafe Function XLPyDLLActivateAuto Lib "xlwings32-@XLWINGS@.dll" (ByRef found As Variant, ByVal command As String, ByVal mode As Long) As Long
#End If
Private Declare PtrSafe Function LoadLibraryW Lib "kernel32" (ByVal path As LongPtr) As LongPtr

Private Const PYTHON_MODULE As String = "@MODULE@"
Private Const FIRST_HELP As Long = @FIRST@
Private Const LAST_HELP As Long = @LAST@
Private server As Object

' --- Python ---------------------------------------------------------------------------------------------

Private Function Connected() As Object
    Dim path As String, found As Variant
    If server Is Nothing Then
        path = ThisWorkbook.Worksheets(1).Range("B2").Value & "\" & LIBRARY
        If LoadLibraryW(StrPtr(path)) = 0 Then
            Err.Raise vbObjectError + 1, , path & " could not be loaded; run 'xlfuncs doctor'"
        End If
        If XLPyDLLActivateAuto(found, ThisWorkbook.Worksheets(1).Range("B3").Value, 1) <> 0 Then
            Err.Raise vbObjectError + 2, , "Python did not start; run 'xlfuncs doctor'; " & found
        End If
        Set server = found
    End If
    Set Connected = server
End Function

' A process that has ended is replaced once.
Private Function Asked(ByVal what As String, ByVal cells As Variant) As Variant
    Dim before As Boolean, why As String
    before = Not server Is Nothing
    On Error GoTo Lost
Again:
    Asked = Connected().CallUDF(PYTHON_MODULE, (what), (cells))
    Exit Function
Lost:
    why = Err.Description
    Set server = Nothing
    If before Then
        before = False
        Resume Again
    End If
    Err.Raise vbObjectError + 3, , why
End Function

' --- a call from a cell ---------------------------------------------------------------------------------

Private Function Answer(ByVal name As String, ByVal cells As Variant) As Variant
    Dim found As Variant
    On Error GoTo Failed
    found = Shown(Asked("answer", Contents(name, cells)))
    If TopOnly(name, found) Then
        Err.Raise vbObjectError + 4, , "many results for one cell: enter it with Ctrl+Shift+Enter, without @"
    End If
    Answer = found
    Exit Function
Failed:
    If name = "LG_REASON" Then Answer = Err.Description Else Answer = CVErr(2015)
End Function

' The name of the function, and what is in the cells that its arguments refer to: no object leaves Excel.
Private Function Contents(ByVal name As String, ByVal cells As Variant) As Variant
    Dim values() As Variant, n As Long, rows As Long, columns As Long
    ReDim values(0 To UBound(cells) + 1)
    values(0) = name
    rows = 1
    columns = 1
    For n = 0 To UBound(cells)
        If TypeName(cells(n)) = "Range" Then
            If cells(n).Areas.Count > 1 Then
                Err.Raise vbObjectError + 5, , "an argument has several areas; give one range"
            End If
            If ToTheEnd(cells(n), True) Or ToTheEnd(cells(n), False) Then Measure cells(n), rows, columns
        End If
    Next
    For n = 0 To UBound(cells)
        If TypeName(cells(n)) = "Range" Then
            values(n + 1) = Cut(cells(n), rows, columns).Value2
        ElseIf Not IsMissing(cells(n)) Then
            values(n + 1) = cells(n)
        End If
    Next
    Contents = values
End Function

' Whether a range has all rows (columns) down to the last of the sheet, as A:A has.
Private Function ToTheEnd(ByVal area As Object, ByVal down As Boolean) As Boolean
    If down Then
        ToTheEnd = area.Row + area.Rows.Count - 1 = area.Worksheet.Rows.Count
    Else
        ToTheEnd = area.Column + area.Columns.Count - 1 = area.Worksheet.Columns.Count
    End If
End Function

' Raises rows and columns to those of a range that are not empty. Results that spill make the used range
' longer with each calculation; what is not empty in the argument stays.
Private Sub Measure(ByVal area As Object, ByRef rows As Long, ByRef columns As Long)
    Dim part As Object, values As Variant, r As Long, c As Long
    Set part = Application.Intersect(area, area.Worksheet.UsedRange)
    If part Is Nothing Then Exit Sub
    If part.Rows.Count = 1 And part.Columns.Count = 1 Then
        ReDim values(1 To 1, 1 To 1)
        values(1, 1) = part.Value2
    Else
        values = part.Value2
    End If
    For r = 1 To UBound(values, 1)
        For c = 1 To UBound(values, 2)
            If Not IsEmpty(values(r, c)) Then
                If part.Row - area.Row + r > rows Then rows = part.Row - area.Row + r
                If part.Column - area.Column + c > columns Then columns = part.Column - area.Column + c
            End If
        Next
    Next
End Sub

Private Function Cut(ByVal area As Object, ByVal rows As Long, ByVal columns As Long) As Object
    If Not ToTheEnd(area, True) Or rows > area.Rows.Count Then rows = area.Rows.Count
    If Not ToTheEnd(area, False) Or columns > area.Columns.Count Then columns = area.Columns.Count
    Set Cut = area.Resize(rows, columns)
End Function

' Python's integers are numbers of error values; its numbers are Doubles.
Private Function Shown(ByVal found As Variant) As Variant
    Dim r As Long, c As Long, oneRow As Boolean
    If Not IsArray(found) Then
        Shown = OneShown(found)
        Exit Function
    End If
    oneRow = InOneRow(found)
    For r = LBound(found, 1) To UBound(found, 1)
        If oneRow Then
            found(r) = OneShown(found(r))
        Else
            For c = LBound(found, 2) To UBound(found, 2)
                found(r, c) = OneShown(found(r, c))
            Next
        End If
    Next
    Shown = found
End Function

Private Function OneShown(ByVal cell As Variant) As Variant
    If VarType(cell) = vbLong Or VarType(cell) = vbInteger Then OneShown = CVErr(cell) Else OneShown = cell
End Function

Private Function InOneRow(ByRef found As Variant) As Boolean
    Dim last As Long
    On Error GoTo Yes
    last = UBound(found, 2)
    Exit Function
Yes:
    InOneRow = True
End Function

' Whether one cell would show the first of several rows, and nobody would know: Excel 2016 and 2019 do so where
' the formula was entered without Ctrl+Shift+Enter, later ones where @ stands before the function. Inside of
' another function, as in SUM(LG_...), all results count.
Private Function TopOnly(ByVal name As String, ByRef found As Variant) As Boolean
    Dim place As Object, formula As String
    If Not IsArray(found) Then Exit Function
    If InOneRow(found) Or TypeName(Application.Caller) <> "Range" Then Exit Function
    Set place = Application.Caller
    If place.Cells.Count > 1 Or place.HasArray Then Exit Function
    If CanSpill(place) Then
        TopOnly = InStr(1, place.Formula2, "=@" & name & "(", vbTextCompare) = 1
        Exit Function
    End If
    formula = place.Formula
    TopOnly = InStr(1, formula, "(") = InStr(1, formula, name & "(", vbTextCompare) + Len(name)
End Function

Private Function CanSpill(ByVal place As Object) As Boolean
    Dim spills As Boolean
    On Error GoTo No
    spills = place.HasSpill
    CanSpill = True
No:
End Function

' --- help -----------------------------------------------------------------------------------------------

' The help of each function and argument for 'Insert function', from this add-in's sheet. Excel takes it for
' a visible workbook only. An error leaves a help out; the functions work without.
Public Sub LG_Describe()
    Dim row As Long, sheet As Object
    On Error Resume Next
    Application.ScreenUpdating = False
    ThisWorkbook.IsAddin = False
    Set sheet = ThisWorkbook.Worksheets(1)
    For row = FIRST_HELP To LAST_HELP
        Describe "'" & ThisWorkbook.Name & "'!" & sheet.Cells(row, 1).Value, sheet, row
    Next
    ThisWorkbook.IsAddin = True
    ThisWorkbook.Saved = True
    Application.ScreenUpdating = True
End Sub

Private Sub Describe(ByVal name As String, ByVal sheet As Object, ByVal row As Long)
    Dim column As Long, count As Long, texts() As String
    count = sheet.Cells(row, 4).Value
    If count = 0 Then
        Application.MacroOptions Macro:=name, Description:=sheet.Cells(row, 3).Value, _
            Category:=sheet.Cells(row, 2).Value
        Exit Sub
    End If
    ReDim texts(1 To count)
    For column = 1 To count
        texts(column) = sheet.Cells(row, 4 + column).Value
    Next
    Application.MacroOptions Macro:=name, Description:=sheet.Cells(row, 3).Value, _
        Category:=sheet.Cells(row, 2).Value, ArgumentDescriptions:=texts
End Sub

' --- ribbon ---------------------------------------------------------------------------------------------

Public Sub LG_Ribbon(ByVal control As Object)
    Dim why As String
    On Error GoTo Failed
    If ActiveWorkbook Is Nothing Then Err.Raise vbObjectError + 6, , "Open a workbook first."
    If control.Tag = "insert" Then
        Application.Dialogs(450).Show
    Else
        Act control.Tag
    End If
    Exit Sub
Failed:
    why = Err.Description
    AtWork False
    MsgBox why, vbExclamation, "xlfuncs"
End Sub

' Python works on a copy of the workbook as it stands on the screen, and gives a message, a file to open as a
' new workbook, the sheet of it to show, the heading of a text, and the text.
Private Sub Act(ByVal what As String)
    Dim copy As Variant, target As Variant, state As String, found As Variant
    target = ""
    If what = "keep" Then
        target = Application.GetSaveAsFilename(, "Excel workbook (*.xlsx;*.xlsm),*.xlsx;*.xlsm")
        If VarType(target) = vbBoolean Then Exit Sub
    End If
    state = "changed"
    If ActiveWorkbook.Saved Then state = "saved"
    If ActiveWorkbook.Path = "" Then state = "unsaved"
    AtWork True
    copy = Asked("copy_for", Array(ActiveWorkbook.Name))
    ActiveWorkbook.SaveCopyAs copy
    found = Asked("act", Array(what, copy, ActiveWorkbook.Name, state, ActiveSheet.Name, _
        ActiveCell.Address(False, False), Chosen(), target))
    AtWork False
    If found(1) <> "" Then Workbooks.Add found(1)
    If found(2) <> "" Then ActiveWorkbook.Sheets(found(2)).Activate
    If found(4) <> "" Then ShowText found(3), found(4)
    If found(0) <> "" Then MsgBox found(0), vbInformation, "xlfuncs"
End Sub

Private Sub AtWork(ByVal busy As Boolean)
    If busy Then
        Application.Cursor = 2
        Application.StatusBar = "xlfuncs is at work ..."
    Else
        Application.Cursor = -4143
        Application.StatusBar = False
    End If
End Sub

Private Function Chosen() As String
    If TypeName(Selection) = "Range" Then Chosen = Selection.Address Else Chosen = ActiveCell.Address
End Function

Private Sub ShowText(ByVal title As String, ByVal text As String)
    Dim lines As Variant, n As Long, sheet As Object
    lines = Split(title & vbLf & vbLf & text, vbLf)
    Set sheet = Workbooks.Add.Worksheets(1)
    sheet.Columns(1).NumberFormat = "@"
    sheet.Columns(1).Font.Name = "Consolas"
    For n = 0 To UBound(lines)
        sheet.Cells(n + 1, 1).Value = lines(n)
    Next
    ActiveWorkbook.Saved = True
End Sub

' --- functions ------------------------------------------------------------------------------------------
@FUNCTIONS@
